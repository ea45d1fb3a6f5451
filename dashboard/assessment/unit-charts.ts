import {
  AnalysisError,
  BASELINE_CHECKS,
  fitIndividualsBaseline,
  judgeIndividuals,
  type QuantityChart,
} from "../../analysis/index.ts";
import type { IndividualsChart } from "./views.ts";

/**
 * Individuals and moving-range charts of the present life, one a charted quantity: limits frozen from its first checks,
 * every check held against them.
 *
 * @returns Only the quantities with checks enough, and with any scatter at all.
 */
export function individualsCharts(charts: readonly QuantityChart[]): IndividualsChart[] {
  return charts.flatMap(({ quantity, points }) => {
    if (points.length <= BASELINE_CHECKS) return [];
    try {
      const limits = fitIndividualsBaseline(points.slice(0, BASELINE_CHECKS));
      const { centre, lower, upper, movingRangeUpper, count, toDay } = limits;
      return [
        {
          quantity,
          centre,
          lower,
          upper,
          rangeUpper: movingRangeUpper,
          baselineChecks: count,
          baselineToDay: toDay,
          points: judgeIndividuals(points, limits).map(
            ({ day, value, beyond, movingRange, movingRangeBeyond }) => ({
              day,
              value,
              beyond,
              range: movingRange,
              rangeBeyond: movingRangeBeyond,
            }),
          ),
        },
      ];
    } catch (refusal) {
      if (refusal instanceof AnalysisError) return [];
      throw refusal;
    }
  });
}
