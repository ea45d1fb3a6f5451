import type { QuantityChart } from "../../analysis/index.ts";
import { levelTip } from "../wording/watch.ts";
import type { Chart } from "./chart.ts";
import { mooringChart } from "./individuals.ts";

/** Level chart of one quantity over the present life, in standard deviations of its weighted mean. */
export function levelChart({ points, limits, baseline }: QuantityChart): Chart {
  return mooringChart({
    points: points.map((point) => ({
      day: point.day,
      value: point.level,
      beyond: Math.abs(point.level) > limits.level,
      tip: levelTip(point),
    })),
    lower: -limits.level,
    upper: limits.level,
    centre: 0,
    baselineToDay: baseline?.toDay ?? points[0]!.day,
    water: [],
  });
}
