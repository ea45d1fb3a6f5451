import { COMPONENTS } from "../drift/components.ts";
import type { LifeSeries } from "./life-series.ts";

/** Where the unit stands from a named day on is left to its checks: this times what the fleet says of a life's start. */
const OPEN_START = 1000;

/**
 * A life's series cut at the days from which somebody had its limits fitted anew: each part has a baseline of its own,
 * and nothing is expected of where it begins. Limits of before stay where they were kept.
 *
 * @param days In any order; those outside the life change nothing. Unit: days since 1970-01-01 UTC.
 * @returns Parts with at least one check, oldest first; readings keep their places in the unit's columns.
 */
export function cutAtBaselines(series: LifeSeries, days: readonly number[]): LifeSeries[] {
  const n = series.day.length;
  const starts = [...new Set(days)].sort((a, b) => a - b);
  const parts: LifeSeries[] = [];
  let from = 0;
  let fromDay: number | null = null;
  for (const next of [...starts, Number.POSITIVE_INFINITY]) {
    let to = from;
    while (to < n && series.day[to]! < next) to++;
    if (to > from) parts.push(fromDay === null && to === n ? series : part(series, from, to, fromDay));
    // A day before the first check is the day the life's own baseline begins anyway.
    if (to > 0) fromDay = next;
    from = to;
  }
  return n === 0 ? [series] : parts;
}

function part(series: LifeSeries, from: number, to: number, fromDay: number | null): LifeSeries {
  const { checks, day, value, variance } = series;
  const cut = (column: Float64Array) => column.subarray(from, to);
  const start = fromDay === null ? 0 : checks.year[from]!;
  return {
    ...series,
    baselineFromDay: fromDay ?? series.baselineFromDay,
    checks: {
      ...checks,
      checks: to - from,
      firstReading: checks.firstReading.subarray(from, to + 1),
      year: cut(checks.year).map((year) => year - start),
      startDay: fromDay ?? checks.startDay,
      startKnown: fromDay === null && checks.startKnown,
    },
    day: cut(day),
    value: value.map(cut),
    variance: variance.map(cut),
    loading: series.loading.map((column) => column.subarray(COMPONENTS * from, COMPONENTS * to)),
    shared: cut(series.shared),
    ofLots: cut(series.ofLots),
    startWidening: fromDay === null ? 1 : OPEN_START,
    movement:
      fromDay === null
        ? series.movement
        : series.movement.map((of) => of && { ...of, startVariance: OPEN_START * of.startVariance }),
  };
}
