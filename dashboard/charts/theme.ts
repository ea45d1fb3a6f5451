import type { UnitState } from "../../analysis/index.ts";
import { monthStarts } from "../wording/dates.ts";
import type { Layer } from "./chart.ts";

/**
 * One theme for every chart. Colours are names that the style sheet gives a value, light, dark and in print,
 * so that one drawing serves them all and no style stands in the page.
 */
export const COLOUR = {
  paper: "var(--paper)",
  ink: "var(--ink)",
  soft: "var(--soft)",
  rule: "var(--rule)",
  water: "var(--water)",
  deep: "var(--deep)",
  truth: "var(--truth)",
  certified: "color-mix(in srgb, var(--truth) 50%, var(--water))",
  bank: "var(--bank)",
  steady: "var(--steady)",
} as const;

export const STATE_COLOUR: Readonly<Record<UnitState, string>> = {
  out: "var(--out)",
  "heading-out": "var(--heading-out)",
  leaning: "var(--leaning)",
  steady: "var(--steady)",
  unjudged: "var(--soft)",
};

/** The same for text, which needs more contrast. */
export const STATE_INK: Readonly<Record<UnitState, string>> = {
  ...STATE_COLOUR,
  leaning: "var(--leaning-ink)",
};

/** The widths a chart is drawn for; the page shows the one that fits. Unit: CSS px. */
export const WIDTHS = { narrow: 380, middle: 760, wide: 1200 } as const;
export type SizeName = keyof typeof WIDTHS;

/** Width of a letter of the charts' text at its usual size, on the generous side. Unit: px. */
export const LETTER_PX = 6.6;

/** A colour that a row brings along. */
export const OWN_COLOUR: Layer = { field: "colour", type: "nominal", scale: null };
/** A place that a row brings along. Unit: px. */
export function placed(field: string): Layer {
  return { field, type: "quantitative", scale: null };
}

/** Settings that every specification takes over. */
export const CONFIG = {
  background: "transparent",
  aria: false,
  font: "sans-serif",
  view: { stroke: null },
  axis: {
    domain: false,
    grid: false,
    labelColor: COLOUR.soft,
    labelFontSize: 13,
    labelPadding: 6,
    tickColor: COLOUR.rule,
    tickSize: 5,
    titleColor: COLOUR.soft,
    titleFontSize: 13,
    titleFontWeight: "normal",
  },
  text: { color: COLOUR.ink, fontSize: 13 },
  // No row is without a value: the charts leave such rows out themselves.
  mark: { invalid: null, aria: false },
  legend: { disable: true },
} as const;

/**
 * A horizontal scale of days, from the chart's values `from` and `to`.
 *
 * Days on a plain scale, with the months worked out beforehand: a time scale would bring the reader's time zone in.
 *
 * @param months whether the chart's value `months` stands along its foot, with the year at the first and each January.
 */
export function timeAcross(months: boolean): Layer {
  return {
    field: "day",
    type: "quantitative",
    scale: { domain: { expr: "[from, to]" }, nice: false, zero: false },
    axis: months ? MONTH_AXIS : null,
  };
}

const MONTH_AXIS: Layer = {
  title: null,
  values: { expr: "months" },
  labelExpr:
    "utcFormat(datum.value * 86400000, datum.value === months[0] || utcmonth(datum.value * 86400000) === 0 ? '%b %Y' : '%b')",
  labelAlign: "left",
  labelPadding: 3,
  labelOffset: -5,
  labelBound: true,
  labelOverlap: "greedy",
};

/** The values of a chart that {@link timeAcross} reads, as parameters of its specification. */
export const TIME_PARAMETERS = parameters("from", "to", "months");

/**
 * @param mostLabels as many months as there is room for.
 * @param firstDate where days begin to be dates; what lies before it has no months.
 */
export function timeValues(
  from: number,
  to: number,
  mostLabels: number,
  firstDate = from,
): { readonly from: number; readonly to: number; readonly months: readonly number[] } {
  const starts = monthStarts(firstDate, to);
  const step = [1, 2, 3, 6, 12].find((candidate) => starts.length / candidate <= mostLabels) ?? 24;
  // Counted from January, so that a January is among them.
  const months = starts.filter(({ month }) => (month - 1) % step === 0).map(({ day }) => day);
  return { from, to, months };
}

/** Values that a chart brings along, as parameters of its specification. */
export function parameters(...names: readonly string[]): Layer[] {
  return names.map((name) => ({ name, value: null }));
}

const ACROSS = { x: { value: 0 }, x2: { value: "width" } };

/** A rectangle from one value to another across the whole chart: water, deep water. */
export function channel(from: number, to: number, colour: string): Layer {
  return {
    data: { values: [{}] },
    mark: { type: "rect", fill: colour },
    encoding: { x: ACROSS.x, x2: ACROSS.x2, y: { datum: from, type: "quantitative" }, y2: { datum: to } },
  };
}

/** A line across the whole chart at one value. */
export function level(at: number, colour: string): Layer {
  return {
    data: { values: [{}] },
    mark: { type: "rule", stroke: colour, strokeWidth: 1 },
    encoding: { x: ACROSS.x, x2: ACROSS.x2, y: { datum: at, type: "quantitative" } },
  };
}
