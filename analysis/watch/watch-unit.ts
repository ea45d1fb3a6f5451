import { cusumInterval } from "../control-charts/alarm-limits.ts";
import { type CusumChart, cusumChart } from "../control-charts/cusum.ts";
import type { FleetFigures } from "../drift/figures.ts";
import { forecastContext } from "../drift/forecast-context.ts";
import type { FleetChecks, UnitChecks } from "../fleet.ts";
import { likeliestStep, type StepInMean } from "../trend/step.ts";
import { type ChartDesign, knowDesigns } from "./design.ts";
import { LifeCharts, type StreamCharts } from "./life-charts.ts";
import { type LifeSeries, lifeSeries } from "./life-series.ts";
import type { StreamLimits } from "./limits.ts";
import { QUANTITIES, type Quantity } from "./quantities.ts";
import { type RunNote, runNotes } from "./run-notes.ts";
import type { WatchBasis } from "./watch-basis.ts";
import { inFull, type KeptLimits, LimitsBook, type WatchRules, type WatchSignal } from "./watch-fleet.ts";

/** Half the shift that the cumulative sums are quickest to find: one sigma. Unit: sigma. */
const CUSUM_ALLOWANCE = 0.5;

/** One check on the charts of one quantity. */
export interface QuantityPoint {
  readonly day: number;
  /** Unit: % of full scale, bands in error over tolerance. */
  readonly value: number;
  /** Standard deviation of the value by itself. */
  readonly sd: number;
  /** Weighted mean against the baseline. Unit: its standard deviations. */
  readonly level: number;
  /** Prediction error. Unit: sigma. */
  readonly step: number;
  /** Cumulative sum of squares; null before there are limits. */
  readonly scatter: number | null;
  /** Cumulative sums of the scores against the baseline, never negative. Unit: sigma. */
  readonly sumUp: number;
  readonly sumDown: number;
}

/** When a quantity changed, by the cumulative sums. */
export interface DatedChange {
  /** Last check before and first check after it. */
  readonly betweenDays: readonly [number, number];
  /** Day on which the sums had enough to say so. */
  readonly foundOnDay: number;
  /** Unit: sigma of one check. */
  readonly shift: number;
}

/** One step in the mean. Units: those of the quantity. */
export interface LikeliestStep {
  readonly betweenDays: readonly [number, number];
  readonly before: number;
  readonly after: number;
}

/** Everything charted of one quantity in the present life. */
export interface QuantityChart {
  readonly quantity: Quantity;
  /** null: fewer than eight checks so far. */
  readonly baseline: StreamLimits | null;
  readonly limits: ChartDesign;
  readonly cusumInterval: number;
  readonly points: readonly QuantityPoint[];
  readonly changes: readonly DatedChange[];
  /**
   * Where two means explain the life best, by least squares; null where no cumulative sum says that anything changed.
   */
  readonly likeliestStep: LikeliestStep | null;
  readonly notes: readonly RunNote[];
}

export interface UnitWatch {
  /** Of the present life; quantities that no check tells are left out. */
  readonly charts: readonly QuantityChart[];
  /** Of all its lives, oldest first. */
  readonly signals: readonly WatchSignal[];
  readonly newLimits: readonly KeptLimits[];
}

/**
 * The charts of one unit.
 *
 * @param fleet May hold this unit alone.
 * @param basis Of the whole fleet; null: nothing is charted.
 */
export function watchUnit(
  unit: UnitChecks,
  fleet: FleetChecks,
  figures: FleetFigures,
  basis: WatchBasis | null,
  rules: WatchRules,
): UnitWatch {
  if (basis === null) return { charts: [], signals: [], newLimits: [] };
  knowDesigns(basis.designs);
  const lives = lifeSeries(forecastContext(fleet, figures), unit);
  const book = new LimitsBook(rules, basis);
  const workspace = new LifeCharts(figures.population);
  const charts: QuantityChart[] = [];
  const signals: WatchSignal[] = [];
  lives.forEach((series, l) => {
    workspace
      .run(series, (q) => book.find(unit.instrument, series, q), basis.moving, !basis.hasSlips)
      .forEach((of, q) => {
        if (!of) return;
        signals.push(...of.signals.map((signal) => inFull(unit, series, q, signal)));
        if (l === lives.length - 1) charts.push(quantityChart(series, q, of));
      });
  });
  signals.sort((a, b) => a.onDay - b.onDay);
  return { charts, signals, newLimits: book.fresh };
}

function quantityChart(
  series: LifeSeries,
  q: number,
  { limits: baseline, design: limits, level, step, scatter }: StreamCharts,
): QuantityChart {
  const value = series.value[q]!;
  const told = [...value.keys()].filter((k) => !Number.isNaN(value[k]!));
  const days = told.map((k) => series.day[k]!);
  const scores = told.map((k) => level.score[k]!);
  const decisionInterval = cusumInterval(CUSUM_ALLOWANCE, limits.runLength);
  const sums = cusumChart(scores, { target: 0, allowance: CUSUM_ALLOWANCE, decisionInterval });
  return {
    quantity: QUANTITIES[q]!,
    baseline,
    limits,
    cusumInterval: decisionInterval,
    points: told.map((k, i) => ({
      day: days[i]!,
      value: value[k]!,
      sd: Math.sqrt(series.variance[q]![k]!),
      level: level.level[k]!,
      step: step[k]!,
      scatter: Number.isNaN(scatter.sum[k]!) ? null : scatter.sum[k]!,
      sumUp: sums.up[i]!,
      sumDown: sums.down[i]!,
    })),
    changes: datedChanges(sums, days, series.checks.startDay),
    likeliestStep: sums.signals.length === 0 ? null : dated(likeliestStep(told.map((k) => value[k]!)), days),
    notes: runNotes(days, scores),
  };
}

function dated({ firstAfter, before, after }: StepInMean, days: readonly number[]): LikeliestStep {
  return { betweenDays: [days[firstAfter - 1]!, days[firstAfter]!], before, after };
}

function datedChanges({ signals }: CusumChart, days: readonly number[], startDay: number): DatedChange[] {
  return signals.map(({ shiftFrom, at, shift }) => ({
    betweenDays: [days[shiftFrom - 1] ?? startDay, days[shiftFrom]!],
    foundOnDay: days[at]!,
    shift,
  }));
}
