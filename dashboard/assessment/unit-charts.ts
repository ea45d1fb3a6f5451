import {
  AnalysisError,
  BAND_NAMES,
  BASELINE_CHECKS,
  type BandName,
  bandOf,
  type ChartPoint,
  fitIndividualsBaseline,
  judgeIndividuals,
  type UnitReadings,
  USE,
} from "../../analysis/index.ts";
import type { IndividualsChart } from "./views.ts";

/**
 * Individuals charts of one life, a band each: limits frozen from its first checks, every check held against them.
 *
 * @param life Indices of the life's readings.
 * @param error Error of each of the unit's readings, fluid lot and bath taken away. Unit: % of full scale.
 * @returns Only the bands with checks enough, and with any scatter at all.
 */
export function individualsCharts(
  readings: UnitReadings,
  life: Int32Array,
  error: Float64Array,
): IndividualsChart[] {
  return BAND_NAMES.flatMap((band) => {
    const points = bandPoints(readings, life, error, band);
    if (points.length <= BASELINE_CHECKS) return [];
    try {
      const limits = fitIndividualsBaseline(points.slice(0, BASELINE_CHECKS));
      return [
        {
          band,
          centre: limits.centre,
          lower: limits.lower,
          upper: limits.upper,
          baselineChecks: limits.count,
          baselineToDay: limits.toDay,
          points: judgeIndividuals(points, limits).map(({ day, value, beyond }) => ({ day, value, beyond })),
        },
      ];
    } catch (refusal) {
      if (refusal instanceof AnalysisError) return [];
      throw refusal;
    }
  });
}

/** One point a check: the mean error over tolerance of its usable readings in the band. */
function bandPoints(
  readings: UnitReadings,
  life: Int32Array,
  error: Float64Array,
  band: BandName,
): ChartPoint[] {
  const sums = new Map<number, { day: number; sum: number; count: number }>();
  for (const i of life) {
    if (readings.use[i] === USE.shownOnly || bandOf(readings.torque[i]!) !== band) continue;
    const check = sums.get(readings.check[i]!) ?? { day: readings.day[i]!, sum: 0, count: 0 };
    sums.set(readings.check[i]!, {
      day: check.day,
      sum: check.sum + error[i]! / readings.tolerance[i]!,
      count: check.count + 1,
    });
  }
  return [...sums.values()].map(({ day, sum, count }) => ({ day, value: sum / count }));
}
