import type { Quantity, UnitWatch, WatchSignal } from "../../analysis/index.ts";
import type { StandingJudgement } from "../assessment/judgements.ts";
import type { UnitView } from "../assessment/views.ts";
import { causeBetween, type Happening, happenedBetween } from "./around.ts";

/** How one quantity stands on its charts. */
export interface WatchRow {
  readonly quantity: Quantity;
  readonly checks: number;
  /** Frozen baseline and the day it was frozen on; null: not yet. Unit: that of the quantity. */
  readonly baseline: { readonly mean: number; readonly toDay: number } | null;
  /** Latest value of each chart with its limit; scatter null where there is none. */
  readonly level: number;
  readonly levelLimit: number;
  readonly scatter: number | null;
  readonly scatterLimit: number;
  /** When the cumulative sums say that it changed, the latest of its changes. */
  readonly changedBetween: readonly [number, number] | null;
  /** Run rules met in the present life, by number. */
  readonly rules: readonly number[];
}

/** A signal with what else happened at the time. */
export interface SignalInContext extends WatchSignal {
  readonly happened: readonly Happening[];
  /** What somebody settled it to have come from. */
  readonly settled: StandingJudgement | null;
}

export interface WatchPart {
  readonly rows: readonly WatchRow[];
  readonly charts: UnitWatch["charts"];
  /** Of the present and all earlier lives, newest first. */
  readonly signals: readonly SignalInContext[];
}

/** What the control charts show of a unit. */
export function watchOf(view: UnitView): WatchPart {
  const { charts, signals } = view.watch;
  return {
    charts,
    rows: charts.flatMap(({ quantity, baseline, limits, points, changes, notes }): WatchRow[] => {
      const last = points.at(-1);
      if (last === undefined) return [];
      return [
        {
          quantity,
          checks: points.length,
          baseline: baseline && { mean: baseline.mean, toDay: baseline.toDay },
          level: last.level,
          levelLimit: limits.level,
          scatter: last.scatter,
          scatterLimit: limits.scatter,
          changedBetween: changes.at(-1)?.betweenDays ?? null,
          rules: [...new Set(notes.map(({ rule }) => rule))],
        },
      ];
    }),
    signals: [...signals].reverse().map((signal) => ({
      ...signal,
      happened: signal.betweenDays ? happenedBetween(view, ...signal.betweenDays) : [],
      settled: signal.betweenDays ? causeBetween(view, ...signal.betweenDays) : null,
    })),
  };
}
