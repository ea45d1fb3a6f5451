import { Command } from "commander";
import { intervalFacts, riskCourses } from "../../analysis/index.ts";
import type { Store } from "../../ingest/index.ts";
import { fleetFigures } from "../assessment/fleet-figures.ts";
import { intervalsOf, intervalsReport } from "../assessment/intervals-report.ts";
import { loadFleet } from "../assessment/load-fleet.ts";
import { settingsInForce } from "../settings-in-force.ts";
import { ADVICE_LABEL, daysOrNone, groupIntervalText, INTERVALS_CAUTION } from "../wording/intervals.ts";
import type { CommandContext } from "./context.ts";
import { addLookOptions, type LookOptions, printLook } from "./look.ts";
import { textTable } from "./text-table.ts";

/** `springtide intervals`: what interval each unit and each group has earned, and how often to check. */
export function intervalsCommand(context: CommandContext): Command {
  const command = new Command("intervals")
    .description("what interval between services each unit and group has earned, and how often to check")
    .action((options: LookOptions) =>
      printLook(context, options, {
        find: findIntervals,
        report: ({ asOf, intervals, settings }) => intervalsReport(asOf, intervals, settings),
        words: inWords,
      }),
    );
  return addLookOptions(command);
}

async function findIntervals(store: Store, asOf: string) {
  const { settings } = await settingsInForce(store, asOf);
  const { fleet } = await loadFleet(store, asOf, settings);
  const figures = await fleetFigures(store, asOf, settings, fleet);
  const intervals = intervalsOf(fleet, fleet.units.map(intervalFacts), riskCourses(fleet, figures), settings);
  return { asOf, settings, intervals };
}

function inWords({ intervals, settings }: Awaited<ReturnType<typeof findIntervals>>): string {
  const rows = intervals.units.map((unit) => [
    unit.instrument,
    unit.site ?? "",
    daysOrNone(unit.presentDays),
    unit.advice === null ? "not known" : ADVICE_LABEL[unit.advice.advice],
    daysOrNone(unit.advice?.days ?? null),
    daysOrNone(unit.drift?.days ?? null),
    daysOrNone(unit.staircaseDays),
    daysOrNone(unit.inUseDays),
    daysOrNone(unit.checkEveryDays.byUse),
    daysOrNone(unit.checkEveryDays.byDrift),
  ]);
  const headings = [
    "unit",
    "site",
    ">days now",
    "advice",
    ">days",
    ">by drift",
    ">by staircase",
    ">by use",
    ">check every, by use",
    ">by drift",
  ];
  return [
    `${intervals.groups.map((group) => groupIntervalText(group, settings.reliability_target)).join("\n")}\n`,
    textTable(headings, rows),
    `${INTERVALS_CAUTION}\n`,
  ].join("\n");
}
