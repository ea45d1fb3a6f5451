import {
  type EarnedIntervals,
  type GroupInterval,
  intervalsFrom,
  type UnitInterval,
} from "../../analysis/index.ts";
import type { Settings } from "../settings.ts";
import { isoOfDay } from "./days.ts";

type Gathered = Parameters<typeof intervalsFrom>;

/** Intervals by the target and the longest interval of the settings. */
export function intervalsOf(
  fleet: Gathered[0],
  units: Gathered[1],
  courses: Gathered[2],
  settings: Settings,
): EarnedIntervals {
  return intervalsFrom(fleet, units, courses, {
    target: settings.reliability_target,
    longestDays: settings.planning.longest_interval_days,
  });
}

/** The document that `intervals --json` prints. Intervals in days since the last service. */
export function intervalsReport(asOf: string, { units, groups }: EarnedIntervals, settings: Settings) {
  return {
    as_of: asOf,
    reliability_target: settings.reliability_target,
    longest_interval_days: settings.planning.longest_interval_days,
    groups: groups.map(groupRow),
    units: units.map((unit) => ({
      ...unitIntervalFigures(unit),
      found: unit.findings.map((found) => ({
        serviced_at: isoOfDay(found.servicedDay),
        after_days: found.days,
        within_tolerance: found.wasSound,
        worst_error_over_tolerance: found.worst,
      })),
    })),
  };
}

/** One unit flat, for JSON and CSV. */
export function unitIntervalFigures(unit: UnitInterval) {
  return {
    instrument: unit.instrument,
    site: unit.site,
    group: unit.group,
    present_days: unit.presentDays,
    advice: unit.advice?.advice ?? null,
    advised_days: unit.advice === null ? null : Math.round(unit.advice.days),
    by_drift_days: unit.drift?.days ?? null,
    by_drift_sure_days: unit.drift?.sureDays ?? null,
    by_staircase_days: rounded(unit.staircaseDays),
    by_in_use_time_days: rounded(unit.inUseDays),
    check_every_days_by_use: unit.checkEveryDays.byUse,
    check_every_days_by_drift: unit.checkEveryDays.byDrift,
  };
}

function groupRow(group: GroupInterval) {
  const fitted = (of: GroupInterval["exponential"]) =>
    of && { days: of.days, sure_days: of.sureDays, shape: of.shape, scale_days: of.scaleDays };
  return {
    group: group.group,
    units: group.units,
    findings: group.findings,
    found_out: group.foundOut,
    reliability: group.reliability,
    exponential: fitted(group.exponential),
    weibull: fitted(group.weibull),
  };
}

function rounded(days: number | null): number | null {
  return days === null ? null : Math.round(days);
}
