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

type ForecastOptions = StoreOption & JsonOption & AsOfOption;

/** `springtide forecast`: where every unit stands and whether it leaves tolerance before its next service. */
export function forecastCommand(context: CommandContext): Command {
  const command = new Command("forecast")
    .description("every unit: where it stands, and whether it leaves tolerance before its next service")
    .action(async (options: ForecastOptions) => {
      const asOf = asOfDay(context, options);
      const { assessment } = await withStore(context, options, "existing", (store) =>
        assessStore(store, asOf),
      );
      context.print(
        options.json ? `${JSON.stringify(forecastReport(assessment))}\n` : forecastInWords(assessment),
      );
    });
  return addJsonOption(addAsOfOption(addStoreOption(command)));
}
