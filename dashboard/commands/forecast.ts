import { Command } from "commander";
import { assessStore } from "../assessment/assess-store.ts";
import { forecastReport } from "../assessment/forecast-report.ts";
import type { CommandContext } from "./context.ts";
import { forecastInWords } from "./forecast-table.ts";
import { addLookOptions, type LookOptions, printLook } from "./look.ts";
import { byWorkersOption } from "./options.ts";

interface ForecastOptions extends LookOptions {
  readonly refit?: true;
  readonly byWorkers?: true;
}

/** `springtide forecast`: where every unit stands and whether it leaves tolerance before its next service. */
export function forecastCommand(context: CommandContext): Command {
  const command = new Command("forecast")
    .description("every unit: where it stands, and whether it leaves tolerance before its next service")
    .option(
      "--refit",
      "learn anew what is known of the whole fleet, instead of keeping it for up to four weeks",
    )
    .addOption(byWorkersOption())
    .action((options: ForecastOptions) =>
      printLook(context, options, {
        find: async (store, asOf) => {
          const mode = options.refit ? "anew" : "kept";
          if (!options.byWorkers) return assessStore(store, asOf, mode);
          const { assessByWorkers } = await import("../jobs/by-workers.ts");
          return assessByWorkers(store, asOf, mode);
        },
        report: ({ assessment, unregistered }) => forecastReport(assessment, unregistered),
        words: ({ assessment, unregistered }) => forecastInWords(assessment, unregistered),
      }),
    );
  return addLookOptions(command);
}
