import { Command } from "commander";
import { fitFleet } from "../../analysis/index.ts";
import { intervalsOf, intervalsReport } from "../assessment/intervals-report.ts";
import { loadFleet } from "../assessment/load-fleet.ts";
import { settingsInForce } from "../settings-in-force.ts";
import { ADVICE_LABEL, daysOrNone, groupIntervalText, INTERVALS_CAUTION } from "../wording/intervals.ts";
import type { CommandContext } from "./context.ts";
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
import { textTable } from "./text-table.ts";

type IntervalsOptions = StoreOption & JsonOption & AsOfOption;

/** `springtide intervals`: what interval each unit and each group has earned, and how often to check. */
export function intervalsCommand(context: CommandContext): Command {
  const command = new Command("intervals")
    .description("what interval between services each unit and group has earned, and how often to check")
    .action(async (options: IntervalsOptions) => {
      const asOf = asOfDay(context, options);
      const { intervals, settings } = await withStore(context, options, "existing", async (store) => {
        const { settings } = await settingsInForce(store, asOf);
        const loaded = await loadFleet(store, asOf, settings);
        return { intervals: intervalsOf(loaded, fitFleet(loaded.fleet), settings), settings };
      });
      if (options.json) {
        context.print(`${JSON.stringify(intervalsReport(asOf, intervals, settings))}\n`);
        return;
      }
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
      context.print(
        [
          `${intervals.groups.map((group) => groupIntervalText(group, settings.reliability_target)).join("\n")}\n`,
          textTable(
            [
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
            ],
            rows,
          ),
          `${INTERVALS_CAUTION}\n`,
        ].join("\n"),
      );
    });
  return addJsonOption(addAsOfOption(addStoreOption(command)));
}
