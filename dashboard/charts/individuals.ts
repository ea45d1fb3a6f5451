import type { IndividualsChart } from "../assessment/views.ts";
import { date } from "../wording/dates.ts";
import { decimal } from "../wording/numbers.ts";
import type { ChartSpec } from "./draw.ts";
import { COLOUR, channel, level, STATE_COLOUR, timeAcross } from "./theme.ts";

export const INDIVIDUALS_WIDTH = 384;
const PLOT = { width: 338, height: 150 };

/**
 * Individuals chart of one band over the present life, in error over tolerance: the limits are a mooring, the
 * range within which the checks swung when the life began; a check beyond it is a filled square.
 */
export function individualsChart(chart: IndividualsChart): ChartSpec {
  const days = chart.points.map((point) => point.day);
  const [first, last] = [Math.min(...days), Math.max(...days)];
  const room = Math.max(2, (last - first) * 0.02);
  const furthest = Math.max(
    ...[chart.lower, chart.upper, ...chart.points.map((point) => point.value)].map(Math.abs),
    0.6,
  );
  const reach = furthest * 1.12;
  const x = timeAcross([first - room, last + room], { mostLabels: 5 });
  const y = {
    field: "value",
    type: "quantitative",
    title: null,
    scale: { domain: [-reach, reach], nice: false },
    axis: {
      values: [chart.lower, chart.centre, chart.upper],
      labelExpr: "replace(format(datum.value, '.2f'), '-', '\u2212')",
      title: null,
      ticks: false,
      labelOverlap: true,
    },
  };
  const rows = chart.points.map(({ day, value, beyond }) => ({
    day: day,
    value,
    beyond,
    tip: `${date(day)}\n${decimal(value, 2)} of tolerance${beyond ? ", beyond the limits" : ""}`,
  }));
  const water = Math.min(1, reach);
  return {
    ...PLOT,
    // The same room for every band’s labels, so that the pictures stand in line.
    padding: { left: 44, right: 2, top: 2, bottom: 24 },
    autosize: { type: "none" },
    view: { fill: COLOUR.bank, cornerRadius: 4 },
    encoding: { x },
    layer: [
      channel(-water, water, COLOUR.water),
      channel(chart.lower, chart.upper, COLOUR.deep),
      {
        data: { values: [{ day: first - room, to: chart.baselineToDay }] },
        mark: { type: "rect", fill: COLOUR.truth, opacity: 0.55 },
        encoding: { x2: { field: "to" }, y: { datum: chart.lower }, y2: { datum: chart.upper } },
      },
      level(chart.lower, COLOUR.soft),
      level(chart.upper, COLOUR.soft),
      level(chart.centre, COLOUR.truth),
      {
        data: { values: rows },
        mark: { type: "line", stroke: COLOUR.soft, strokeWidth: 1, opacity: 0.6 },
        encoding: { y },
      },
      {
        name: "own",
        data: { values: rows },
        mark: { type: "point", filled: true, opacity: 1 },
        encoding: {
          y,
          shape: {
            field: "beyond",
            type: "nominal",
            scale: { domain: [false, true], range: ["circle", "square"] },
          },
          size: { condition: { test: "datum.beyond", value: 40 }, value: 18 },
          fill: {
            condition: { test: "datum.beyond", value: STATE_COLOUR["heading-out"] },
            value: COLOUR.ink,
          },
        },
      },
    ],
  };
}
