import { Command } from "commander";
import { assessStore } from "../assessment/assess-store.ts";
import { forecastReport } from "../assessment/forecast-report.ts";
import type { CommandContext } from "./context.ts";
import { forecastInWords } from "./forecast-table.ts";
import {
  type AsOfOption,
  addAsOfOption,
  addJsonOption,
  addStoreOption,
  asOfDay,
  type JsonOption,
  type StoreOption,
  withStore,
} from "./options.ts";

interface ForecastOptions extends StoreOption, JsonOption, AsOfOption {
  readonly refit?: true;
}

/** `springtide forecast`: where every unit stands and whether it leaves tolerance before its next service. */
export function forecastCommand(context: CommandContext): Command {
  const command = new Command("forecast")
    .description("every unit: where it stands, and whether it leaves tolerance before its next service")
    .option(
      "--refit",
      "learn anew what is known of the whole fleet, instead of keeping it for up to four weeks",
    )
    .action(async (options: ForecastOptions) => {
      const asOf = asOfDay(context, options);
      const { assessment } = await withStore(context, options, "existing", (store) =>
        assessStore(store, asOf, options.refit ? "anew" : "kept"),
      );
      context.print(
        options.json ? `${JSON.stringify(forecastReport(assessment))}\n` : forecastInWords(assessment),
      );
    });
  return addJsonOption(addAsOfOption(addStoreOption(command)));
}
