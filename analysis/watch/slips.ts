import type { Population } from "../drift/population.ts";
import { type ChartTerms, LifeCharts } from "./life-charts.ts";
import type { LifeSeries } from "./life-series.ts";
import { QUANTITIES } from "./quantities.ts";

/** More slips a unit and year than this, and no check signals by itself any more. */
const MOST_SLIPS_A_YEAR = 0.01;

/** Fewer slips than this say nothing of how often they come. */
const LEAST_SLIPS = 3;

const DAYS_A_YEAR = 365.25;

/**
 * Whether checks of this fleet are now and then off in all bands and right again with the next: a cup badly filled, as
 * a rule. Then such a check is no sign of a step, before a second one shows it too.
 *
 * @param lives A sample of the fleet's.
 */
export function hasSlips(
  lives: readonly LifeSeries[],
  population: Population,
  termsOf: (series: LifeSeries, q: number) => ChartTerms,
): boolean {
  const charts = new LifeCharts(population);
  const moving = QUANTITIES.map(() => 1);
  let slips = 0;
  let days = 0;
  for (const series of lives) {
    const n = series.day.length;
    if (n < 3) continue;
    days += series.day[n - 1]! - series.day[0]!;
    const alone = new Set<number>();
    for (const of of charts.run(series, (q) => termsOf(series, q), moving, true)) {
      for (const { chart, at, from } of of?.signals ?? []) {
        // Whether the last one was a slip nobody knows yet.
        if (chart === "step" && at === from && at < n - 1 && !charts.isSecond(at + 1)) alone.add(at);
      }
    }
    slips += alone.size;
  }
  return slips >= LEAST_SLIPS && slips > (MOST_SLIPS_A_YEAR * days) / DAYS_A_YEAR;
}
