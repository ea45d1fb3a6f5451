import type { QuantityChart } from "../../analysis/index.ts";
import type { IndividualsChart } from "../assessment/views.ts";

/** The ways in which the checks of one quantity are charted. */
export const STRIP_KINDS = ["checks", "ranges", "level", "step", "sums", "scatter"] as const;
export type StripKind = (typeof STRIP_KINDS)[number];

/** One chart of one quantity over the present life, ready to be drawn and told. Unit of all values: the chart's own. */
export interface Strip {
  readonly kind: StripKind;
  readonly fromDay: number;
  readonly toDay: number;
  /** What lies between is within the limits; a chart that cannot fall has its floor at 0. */
  readonly low: number;
  readonly high: number;
  readonly centre: number;
  /** The checks up to then are those that the limits were fitted from; null: no limits are fitted yet. */
  readonly baselineToDay: number | null;
  /** Lines through the checks: one, for the cumulative sums two, the lower one counted downwards. */
  readonly lines: readonly (readonly StripPoint[])[];
  /** Days on which this chart signalled. */
  readonly signalDays: readonly number[];
}

export interface StripPoint {
  readonly day: number;
  readonly value: number;
  readonly beyond: boolean;
}

/**
 * The charts of one quantity: single checks and their distances, weighted mean, prediction errors, cumulative sums,
 * scatter.
 *
 * @param individuals null: too few checks for limits of single checks.
 * @param signals Of this quantity in the present life.
 */
export function stripsOf(
  chart: QuantityChart,
  individuals: IndividualsChart | null,
  signals: readonly { readonly chart: string; readonly onDay: number }[],
): Strip[] {
  const { points, limits, cusumInterval, baseline } = chart;
  const [first, last] = [points[0], points.at(-1)];
  if (first === undefined || last === undefined) return [];
  const span = { fromDay: first.day, toDay: last.day, baselineToDay: baseline?.toDay ?? null, centre: 0 };
  const line = (values: readonly (number | null)[], low: number, high: number): StripPoint[] =>
    values.flatMap((value, i) =>
      value === null || Number.isNaN(value)
        ? []
        : [{ day: points[i]!.day, value, beyond: value < low || value > high }],
    );
  const strip = (kind: StripKind, low: number, high: number, ...lines: readonly StripPoint[][]): Strip => ({
    ...span,
    kind,
    low,
    high,
    lines,
    signalDays: signals.filter((signal) => signal.chart === kind).map(({ onDay }) => onDay),
  });
  const { level, step, scatter } = limits;
  const spread = line(
    points.map((point) => point.scatter),
    0,
    scatter,
  );
  return [
    ...(individuals === null ? [] : individualsStrips(individuals, span)),
    strip(
      "level",
      -level,
      level,
      line(
        points.map((point) => point.level),
        -level,
        level,
      ),
    ),
    strip(
      "step",
      -step,
      step,
      line(
        points.map((point) => point.step),
        -step,
        step,
      ),
    ),
    {
      ...strip(
        "sums",
        -cusumInterval,
        cusumInterval,
        line(
          points.map((point) => point.sumUp),
          -cusumInterval,
          cusumInterval,
        ),
        line(
          points.map((point) => -point.sumDown),
          -cusumInterval,
          cusumInterval,
        ),
      ),
      signalDays: chart.changes.map(({ foundOnDay }) => foundOnDay),
    },
    ...(spread.length === 0 ? [] : [strip("scatter", 0, scatter, spread)]),
  ];
}

function individualsStrips(chart: IndividualsChart, span: Pick<Strip, "fromDay" | "toDay">): Strip[] {
  const { points, lower, upper, rangeUpper, centre, baselineToDay } = chart;
  const common = { ...span, baselineToDay, signalDays: [] };
  return [
    {
      ...common,
      kind: "checks",
      low: lower,
      high: upper,
      centre,
      lines: [points.map(({ day, value, beyond }) => ({ day, value, beyond }))],
    },
    {
      ...common,
      kind: "ranges",
      low: 0,
      high: rangeUpper,
      centre: 0,
      lines: [
        points.flatMap(({ day, range, rangeBeyond }) =>
          range === null ? [] : [{ day, value: range, beyond: rangeBeyond }],
        ),
      ],
    },
  ];
}

/** Checks beyond the limits, of those since the limits were fitted; before there are limits none is. */
export function beyondCount({ lines, baselineToDay }: Strip): {
  readonly beyond: number;
  readonly of: number;
} {
  if (baselineToDay === null) return { beyond: 0, of: 0 };
  const after = lines.map((points) => points.filter(({ day }) => day > baselineToDay));
  const beyond = new Set(after.flat().flatMap((point) => (point.beyond ? [point.day] : [])));
  return { beyond: beyond.size, of: after[0]?.length ?? 0 };
}
