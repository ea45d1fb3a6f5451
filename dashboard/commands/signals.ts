import { Command } from "commander";
import type { FleetWatch } from "../../analysis/index.ts";
import { dayOfIso } from "../assessment/days.ts";
import { signalsReport } from "../assessment/signals-report.ts";
import { watchStore } from "../assessment/watch-store.ts";
import { date } from "../wording/dates.ts";
import { decimal, THIN } from "../wording/numbers.ts";
import { budgetInWords, reviewReason, signalNote } from "../wording/signals.ts";
import type { CommandContext } from "./context.ts";
import { addLookOptions, type LookOptions, printLook } from "./look.ts";
import { isoDate } from "./options.ts";
import { textTable } from "./text-table.ts";

interface SignalsOptions extends LookOptions {
  readonly since?: string;
}

/** `springtide signals`: what the control charts have raised, within the fleet's budget of false alarms. */
export function signalsCommand(context: CommandContext): Command {
  const command = new Command("signals")
    .description("what the control charts have raised, within the fleet's budget of false alarms")
    .option("--since <DATE>", "leave out what was raised before this day")
    .action((options: SignalsOptions) => {
      const since =
        options.since === undefined ? Number.NEGATIVE_INFINITY : dayOfIso(isoDate("--since", options.since));
      return printLook(context, options, {
        find: async (store, asOf) => {
          const watch = await watchStore(store, asOf);
          return { ...watch, signals: watch.signals.filter(({ onDay }) => onDay >= since) };
        },
        report: signalsReport,
        words: signalsInWords,
      });
    });
  return addLookOptions(command);
}

/** Newest first, as somebody reads them who looks in every week. */
function signalsInWords(watch: FleetWatch): string {
  const signals = textTable(
    ["on", "unit", "chart", ">size", ">limit", "what it says"],
    [...watch.signals]
      .reverse()
      .map((signal) => [
        date(signal.onDay),
        signal.instrument,
        signal.chart,
        decimal(signal.size, 1),
        decimal(signal.limit, 1),
        signalNote(signal),
      ]),
  );
  const review = textTable(
    ["to be looked at this week", ">chance in a sound unit", "because"],
    watch.review.map(({ instrument, p, quantity, because }) => [
      instrument,
      p < 1e-4 ? "under 0.0001" : p.toFixed(4),
      reviewReason(because, quantity),
    ]),
  );
  const parts = [
    `${budgetInWords(watch)}\n`,
    watch.signals.length > 0 ? signals : "No chart has signalled.\n",
    watch.review.length > 0
      ? `${review}\nOf these, one in ten is expected to be there by chance.\n`
      : "No unit asks for a review.\n",
  ];
  return parts.join("\n").replaceAll(THIN, " ");
}
