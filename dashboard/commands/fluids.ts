import { Command } from "commander";
import type { LotAssessment } from "../../analysis/index.ts";
import { assessStore } from "../assessment/assess-store.ts";
import { fluidsReport } from "../assessment/fluids-report.ts";
import { LOT_URGENCY } from "../page-models/fluid-lots.ts";
import { date } from "../wording/dates.ts";
import { count, decimal, signed } from "../wording/numbers.ts";
import type { CommandContext } from "./context.ts";
import { addLookOptions, type LookOptions, printLook } from "./look.ts";
import { textTable } from "./text-table.ts";

/** `springtide fluids`: every lot's error by all the units that share it, and every site's bath. */
export function fluidsCommand(context: CommandContext): Command {
  const command = new Command("fluids")
    .description(
      "every fluid lot's estimated error, so that a lot is not blamed on the instruments; and every bath",
    )
    .action((options: LookOptions) =>
      printLook(context, options, {
        find: async (store, asOf) => (await assessStore(store, asOf)).assessment,
        report: fluidsReport,
        words: inWords,
      }),
    );
  return addLookOptions(command);
}

function inWords({ lots, baths, asOfDay: day }: Parameters<typeof fluidsReport>[0]): string {
  const lotTable = textTable(
    [
      "lot",
      ">off its certificate, %",
      ">±",
      ">% a year",
      ">units",
      ">checks",
      "last used",
      "verdict",
      "remark",
    ],
    byUrgency(lots).map(lotRow),
  );
  const bathTable = textTable(
    ["bath of", "from", "to", ">too warm by, K", ">±", ">units"],
    baths.map((bath) => [
      bath.site,
      date(bath.fromDay),
      date(bath.toDay),
      signed(bath.kelvin, 2),
      decimal(bath.kelvinSd, 2),
      count(bath.units),
    ]),
  );
  return `As of ${date(day)}, by all units together:\n\n${lotTable}\n${bathTable}`;
}

/** What needs a person first; within that the lots used last. */
function byUrgency(lots: readonly LotAssessment[]): LotAssessment[] {
  return [...lots].sort(
    (a, b) => LOT_URGENCY.indexOf(a.verdict) - LOT_URGENCY.indexOf(b.verdict) || b.lastUseDay - a.lastUseDay,
  );
}

function lotRow(lot: LotAssessment): string[] {
  return [
    lot.fluidLot,
    signed(lot.errorPercent, 2),
    decimal(lot.errorSd, 2),
    signed(lot.perYearPercent, 2),
    count(lot.units),
    count(lot.checks),
    date(lot.lastUseDay),
    lot.verdict,
    lot.note ?? "",
  ];
}
