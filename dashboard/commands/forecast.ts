import { Command } from "commander";
import { assessStore } from "../assessment/assess-store.ts";
import { forecastReport } from "../assessment/forecast-report.ts";
import type { CommandContext } from "./context.ts";
import { forecastInWords } from "./forecast-table.ts";
import { addLookOptions, type LookOptions, printLook } from "./look.ts";

interface ForecastOptions extends LookOptions {
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
    .action((options: ForecastOptions) =>
      printLook(context, options, {
        find: (store, asOf) => assessStore(store, asOf, options.refit ? "anew" : "kept"),
        report: ({ assessment, unregistered }) => forecastReport(assessment, unregistered),
        words: ({ assessment, unregistered }) => forecastInWords(assessment, unregistered),
      }),
    );
  return addLookOptions(command);
}
