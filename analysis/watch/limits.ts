import { BaselineLearner, type BaselinePrior, quickNormalScore } from "../control-charts/baseline.ts";
import { BASELINE_CHECKS } from "../control-charts/individuals.ts";
import type { LifeSeries } from "./life-series.ts";
import type { Movement } from "./movement.ts";
import { QUANTITIES, type Quantity } from "./quantities.ts";

/** A check further off its prediction is not learned from. Unit: sigma. */
const NOT_LEARNED_FROM = 3;

/**
 * The baseline of one quantity in one life, frozen from its first checks: plain data, to be kept. Whoever judges
 * takes it as it is; it does not move when later checks, other lots' estimates or another fleet come in.
 */
export interface StreamLimits {
  readonly quantity: Quantity;
  readonly mean: number;
  /** How the unit scatters against what the fleet expects of it: 1 is as expected. */
  readonly scale: number;
  /** 1 / variance of `mean`, for a scale of 1. */
  readonly meanWeight: number;
  /** Degrees of freedom of `scale`. */
  readonly df: number;
  /** Checks learned from, and their days. */
  readonly checks: number;
  readonly fromDay: number;
  readonly toDay: number;
  readonly centreDay: number;
  /** Checks that a chart on it runs on average before a false alarm. */
  readonly runLength: number;
  /** Share of checks that a stray reading throws off, as allowed for. */
  readonly strayShare: number;
  /** What the level chart's limit is multiplied by; null: frozen before these were kept, so the fleet's present one. */
  readonly levelFactor: number | null;
  /**
   * What a sound unit may move without a signal: variance of its rate, and growth of its wander a year; null: frozen
   * before these were kept, so the fleet's present ones.
   */
  readonly rateVariance: number | null;
  readonly wanderVariance: number | null;
}

/** What the fleet says when limits are frozen. */
export interface LimitTerms {
  readonly runLength: number;
  readonly strayShare: number;
  readonly levelFactor: number;
  /** Share of the fleet model's movement of sound units that is allowed for. */
  readonly moving: number;
}

/** What the fleet says about the baseline of a life, before its checks. */
function priorOf({ startMean, startVariance }: Movement, df: number): BaselinePrior {
  return { mean: startMean, sd: 1, meanWeight: 1 / startVariance, df };
}

/** A baseline on its way through the first checks of a life. */
export class LifeLearner {
  readonly learner: BaselineLearner;
  /** Checks that told the quantity so far. */
  seen = 0;
  centreDay: number;
  private readonly movement: Movement;
  private fromDay = Number.NaN;
  private toDay = Number.NaN;

  constructor(movement: Movement, series: LifeSeries) {
    this.movement = movement;
    this.learner = new BaselineLearner(priorOf(movement, series.scatterDf));
    this.centreDay = series.checks.startDay;
  }

  /** Takes the next check in and gives its score against what was learned before. */
  take(day: number, value: number, variance: number): number {
    const { learner } = this;
    const z = quickNormalScore(learner.t(value, variance)!, learner.df);
    this.seen++;
    if (Math.abs(z) <= NOT_LEARNED_FROM) {
      learner.learn(value, variance);
      this.centreDay += (day - this.centreDay) / learner.count;
      if (learner.count === 1) this.fromDay = day;
      this.toDay = day;
    }
    return z;
  }

  frozen(
    quantity: Quantity,
    { runLength, strayShare, levelFactor, moving }: LimitTerms,
  ): StreamLimits | null {
    const { mean, meanWeight, df, count, variance } = this.learner;
    if (this.seen < BASELINE_CHECKS || count === 0) return null;
    const { fromDay, toDay, centreDay } = this;
    const { soundRate, wander } = this.movement;
    return {
      quantity,
      mean,
      scale: Math.sqrt(variance),
      meanWeight,
      df,
      checks: count,
      fromDay,
      toDay,
      centreDay,
      runLength,
      strayShare,
      levelFactor,
      rateVariance: moving * soundRate,
      wanderVariance: moving * wander,
    };
  }
}

/**
 * Fits the limits of one quantity in one life from its first eight checks.
 *
 * @param q Index into {@link QUANTITIES}.
 * @returns null before there are eight.
 */
export function fitLimits(series: LifeSeries, q: number, terms: LimitTerms): StreamLimits | null {
  const movement = series.movement[q];
  if (!movement) return null;
  const [value, variance] = [series.value[q]!, series.variance[q]!];
  const learner = new LifeLearner(movement, series);
  for (let k = 0; k < series.day.length && learner.seen < BASELINE_CHECKS; k++) {
    if (!Number.isNaN(value[k]!)) learner.take(series.day[k]!, value[k]!, variance[k]!);
  }
  return learner.frozen(QUANTITIES[q]!, terms);
}
