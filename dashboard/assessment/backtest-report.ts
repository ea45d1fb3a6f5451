import {
  type BackTest,
  FAILURES_TO_JUDGE,
  failuresIn,
  livesIn,
  type RecordClass,
  recordClasses,
} from "../../analysis/index.ts";
import { isoOfDay } from "./days.ts";
import type { TrackRecord } from "./track-record.ts";

/** The document that `backtest --json` prints. Probabilities and shares are 0 to 1. */
export function backtestReport({ asOf, everyDays, backTest }: TrackRecord) {
  const forecasts = backTest?.forecasts ?? [];
  const wentOut = failuresIn(forecasts);
  return {
    as_of: asOf,
    every_days: everyDays,
    made_on: (backTest?.madeOnDays ?? []).map(isoOfDay),
    forecasts: forecasts.length,
    services: livesIn(forecasts),
    went_out: wentOut,
    too_few_to_judge: wentOut < FAILURES_TO_JUDGE,
    brier: backTest?.brier ?? null,
    skill: {
      over_base_rate: backTest?.skill.overBaseRate ?? null,
      over_last_value: backTest?.skill.overLastValue ?? null,
      over_straight_line: backTest?.skill.overStraightLine ?? null,
    },
    reliability: recordClasses(forecasts).map(classReport),
    lead_time: backTest && {
      went_out: backTest.leadTime.wentOut,
      announced: backTest.leadTime.announced,
      median_days: backTest.leadTime.medianDays,
    },
    coverage: backTest?.coverage ?? null,
    by_day: byDayMade(backTest).map(({ day, ...counts }) => ({ made_on: isoOfDay(day), ...counts })),
  };
}

function classReport(row: RecordClass) {
  return {
    given_from: row.from,
    given_to: row.to,
    units: row.units,
    went_out: row.wentOut,
    expected: row.expected,
    chance: row.chance,
    share_lower: row.lower,
    share_upper: row.upper,
  };
}

/** The forecasts of each day replayed: how many, how many were to be expected to go out, how many went out. */
export function byDayMade(
  backTest: BackTest | null,
): { day: number; forecasts: number; expected: number; went_out: number }[] {
  return (backTest?.madeOnDays ?? []).map((day) => {
    const made = backTest!.forecasts.filter(({ madeOnDay }) => madeOnDay === day);
    return {
      day,
      forecasts: made.length,
      expected: made.reduce((sum, { p }) => sum + p, 0),
      went_out: made.filter(({ wentOut }) => wentOut).length,
    };
  });
}
