import type { UnitState } from "../../analysis/index.ts";
import { monthAndYear, monthName, monthStarts } from "../wording/dates.ts";

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

/** The widths a chart is drawn for; the page shows the one that fits. Unit: CSS px. */
export const WIDTHS = { narrow: 380, middle: 760, wide: 1200 } as const;
export type SizeName = keyof typeof WIDTHS;

/** Width of a letter of the charts' text at its usual size, on the generous side. Unit: px. */
export const LETTER_PX = 6.6;

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
  legend: { disable: true },
} as const;

/**
 * A horizontal scale of days with months along its foot; the year stands at the first and at each January.
 *
 * @param axis null: no axis.
 */
export function timeAcross(
  [fromDay, toDay]: readonly [number, number],
  axis: { readonly mostLabels: number } | null,
): Record<string, unknown> {
  // Days on a plain scale, with the months worked out here: a time scale would bring the reader's time zone in.
  return {
    field: "day",
    type: "quantitative",
    scale: { domain: [fromDay, toDay], nice: false, zero: false },
    axis: axis === null ? null : monthAxis(fromDay, toDay, axis.mostLabels),
  };
}

function monthAxis(fromDay: number, toDay: number, mostLabels: number): Record<string, unknown> {
  const months = monthStarts(fromDay, toDay);
  const step = [1, 2, 3, 6, 12].find((candidate) => months.length / candidate <= mostLabels) ?? 24;
  // Counted from January, so that a January is among them.
  const shown = months.filter(({ month }) => (month - 1) % step === 0);
  const labels = shown.map(
    ({ month, day }, i) => `${day}: '${i === 0 || month === 1 ? monthAndYear(day) : monthName(day)}'`,
  );
  return {
    title: null,
    values: shown.map(({ day }) => day),
    labelExpr: `({${labels.join(", ")}})[datum.value]`,
    labelAlign: "left",
    labelPadding: 3,
    labelOffset: -5,
    labelBound: true,
    labelOverlap: "greedy",
  };
}

const ACROSS = { x: { value: 0 }, x2: { value: "width" } };

/** A rectangle from one value to another across the whole chart: water, deep water. */
export function channel(from: number, to: number, colour: string): Record<string, unknown> {
  return {
    data: { values: [{}] },
    mark: { type: "rect", fill: colour },
    encoding: { x: ACROSS.x, x2: ACROSS.x2, y: { datum: from, type: "quantitative" }, y2: { datum: to } },
  };
}

/** A line across the whole chart at one value. */
export function level(at: number, colour: string): Record<string, unknown> {
  return {
    data: { values: [{}] },
    mark: { type: "rule", stroke: colour, strokeWidth: 1 },
    encoding: { x: ACROSS.x, x2: ACROSS.x2, y: { datum: at, type: "quantitative" } },
  };
}
