import type { IndividualsChart } from "../assessment/views.ts";
import { chartPointTip } from "../wording/unit-charts.ts";
import type { Chart, Layer } from "./chart.ts";
import {
  COLOUR,
  OWN_COLOUR,
  parameters,
  STATE_COLOUR,
  TIME_PARAMETERS,
  timeAcross,
  timeValues,
} from "./theme.ts";

export const INDIVIDUALS_WIDTH = 384;
const PLOT = { width: 338, height: 150 };
const MOST_MONTHS = 5;
const SMALLEST_REACH = 0.6;

/** A chart of points against limits that are a mooring: the range within which they swung when the life began. */
interface Mooring {
  readonly points: readonly {
    readonly day: number;
    readonly value: number;
    readonly beyond: boolean;
    readonly tip: string;
  }[];
  readonly lower: number;
  readonly upper: number;
  readonly centre: number;
  readonly baselineToDay: number;
  /** Where the tolerance lies; empty for values that have none. */
  readonly water: readonly { readonly low: number; readonly high: number }[];
}

/** Individuals chart of one band over the present life, in error over tolerance. */
export function individualsChart(chart: IndividualsChart): Chart {
  const points = chart.points.map((point) => ({ ...point, tip: chartPointTip(point) }));
  const reach = reachOf(chart);
  return mooringChart({ ...chart, points, water: [{ low: -Math.min(1, reach), high: Math.min(1, reach) }] });
}

function reachOf({ points, lower, upper }: Pick<IndividualsChart, "points" | "lower" | "upper">): number {
  const values = [lower, upper, ...points.map((point) => point.value)];
  return Math.max(SMALLEST_REACH, ...values.map(Math.abs)) * 1.12;
}

/** Draws points against their limits; one beyond them is a square. */
export function mooringChart(chart: Mooring): Chart {
  const { points, lower, upper, centre, baselineToDay, water } = chart;
  const days = points.map((point) => point.day);
  const [first, last] = [Math.min(...days), Math.max(...days)];
  const room = Math.max(2, (last - first) * 0.02);
  const reach = reachOf(chart);
  return {
    shape: "individuals",
    spec: SPEC,
    values: { ...timeValues(first - room, last + room, MOST_MONTHS), reach, marks: [lower, centre, upper] },
    data: {
      water,
      mooring: [
        { day: first - room, to: last + room, lower, upper, colour: COLOUR.deep },
        { day: first - room, to: baselineToDay, lower, upper, colour: COLOUR.truth },
      ],
      lines: [
        { y: lower, colour: COLOUR.soft },
        { y: upper, colour: COLOUR.soft },
        { y: centre, colour: COLOUR.truth },
      ],
      points: points.map((point) => ({
        day: point.day,
        y: point.value,
        beyond: point.beyond,
        tip: point.tip,
      })),
    },
  };
}

const Y: Layer = {
  field: "y",
  type: "quantitative",
  title: null,
  scale: { domain: { expr: "[-reach, reach]" }, nice: false },
  axis: {
    values: { expr: "marks" },
    labelExpr: "replace(format(datum.value, '.2f'), '-', '\u2212')",
    title: null,
    ticks: false,
    labelOverlap: true,
  },
};

const SPEC: Layer = {
  ...PLOT,
  // The same room for every band's labels, so that the pictures stand in line.
  padding: { left: 44, right: 2, top: 2, bottom: 24 },
  autosize: { type: "none" },
  params: [...TIME_PARAMETERS, ...parameters("reach", "marks")],
  view: { fill: COLOUR.bank, cornerRadius: 4 },
  encoding: { x: timeAcross(true) },
  layer: [
    {
      data: { name: "water" },
      mark: { type: "rect", fill: COLOUR.water },
      encoding: { x: { value: 0 }, x2: { value: "width" }, y: { ...Y, field: "low" }, y2: { field: "high" } },
    },
    {
      data: { name: "mooring" },
      mark: { type: "rect", opacity: 0.75 },
      encoding: {
        x2: { field: "to" },
        y: { ...Y, field: "lower" },
        y2: { field: "upper" },
        fill: OWN_COLOUR,
      },
    },
    {
      data: { name: "lines" },
      mark: { type: "rule" },
      encoding: { x: { value: 0 }, x2: { value: "width" }, y: Y, stroke: OWN_COLOUR },
    },
    {
      data: { name: "points" },
      mark: { type: "line", stroke: COLOUR.soft, strokeWidth: 1, opacity: 0.6 },
      encoding: { y: Y },
    },
    {
      name: "own",
      data: { name: "points" },
      mark: { type: "point", filled: true, opacity: 1 },
      encoding: {
        y: Y,
        shape: {
          field: "beyond",
          type: "nominal",
          scale: { domain: [false, true], range: ["circle", "square"] },
        },
        size: { condition: { test: "datum.beyond", value: 40 }, value: 18 },
        fill: { condition: { test: "datum.beyond", value: STATE_COLOUR["heading-out"] }, value: COLOUR.ink },
      },
    },
  ],
};
