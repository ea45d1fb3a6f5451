import type { Quantity, QuantityChart, WatchSignal } from "../../analysis/index.ts";
import type { StandingJudgement } from "../assessment/judgements.ts";
import type { UnitView } from "../assessment/views.ts";
import { causeBetween, type Happening, happenedBetween } from "./around.ts";
import { type Strip, stripsOf } from "./strips.ts";

/** How one quantity stands on its charts. */
export interface WatchRow {
  readonly quantity: Quantity;
  readonly checks: number;
  /** Frozen baseline and the day it was frozen on; null: not yet. Unit: that of the quantity. */
  readonly baseline: { readonly mean: number; readonly toDay: number; readonly checks: number } | null;
  /** Latest value of each chart with its limit; scatter null where there is none. */
  readonly level: number;
  readonly levelLimit: number;
  readonly scatter: number | null;
  readonly scatterLimit: number;
  /** When the cumulative sums say that it changed, the latest of its changes. */
  readonly changedBetween: readonly [number, number] | null;
  /** Run rules met in the present life, by number. */
  readonly rules: readonly number[];
  readonly strips: readonly Strip[];
  /** Of the present life, newest first. */
  readonly signals: readonly SignalInContext[];
  /** Whether a chart has signalled in the present life or stands beyond its limit now. */
  readonly speaks: boolean;
}

/** A signal with what else happened at the time. */
export interface SignalInContext extends WatchSignal {
  readonly happened: readonly Happening[];
  /** What somebody settled it to have come from. */
  readonly settled: StandingJudgement | null;
}

export interface WatchPart {
  /** In the order of the quantities. */
  readonly rows: readonly WatchRow[];
  readonly charts: UnitView["watch"]["charts"];
  /** Of the present and all earlier lives, newest first. */
  readonly signals: readonly SignalInContext[];
}

/** What the control charts show of a unit. */
export function watchOf(view: UnitView): WatchPart {
  const { charts } = view.watch;
  const signals = [...view.watch.signals].reverse().map((signal) => ({
    ...signal,
    happened: signal.betweenDays ? happenedBetween(view, ...signal.betweenDays) : [],
    settled: signal.betweenDays ? causeBetween(view, ...signal.betweenDays) : null,
  }));
  return { charts, rows: charts.flatMap((chart) => rowOf(chart, view, signals)), signals };
}

function rowOf(chart: QuantityChart, view: UnitView, all: readonly SignalInContext[]): WatchRow[] {
  const { quantity, baseline, limits, points, changes, notes } = chart;
  const [first, last] = [points[0], points.at(-1)];
  if (first === undefined || last === undefined) return [];
  const signals = all.filter((signal) => signal.quantity === quantity && signal.onDay >= first.day);
  const individuals = view.charts.find((candidate) => candidate.quantity === quantity) ?? null;
  return [
    {
      quantity,
      checks: points.length,
      baseline: baseline && { mean: baseline.mean, toDay: baseline.toDay, checks: baseline.checks },
      level: last.level,
      levelLimit: limits.level,
      scatter: last.scatter,
      scatterLimit: limits.scatter,
      changedBetween: changes.at(-1)?.betweenDays ?? null,
      rules: [...new Set(notes.map(({ rule }) => rule))],
      strips: stripsOf(chart, individuals, signals),
      signals,
      speaks: signals.length > 0 || Math.abs(last.level) > limits.level,
    },
  ];
}

/** The quantities that speak, the furthest beyond their limits first. */
export function speaking({ rows }: WatchPart): WatchRow[] {
  const excess = (row: WatchRow): number => Math.abs(row.level) / row.levelLimit;
  return rows.filter((row) => row.speaks).sort((a, b) => excess(b) - excess(a));
}
