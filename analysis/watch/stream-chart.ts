import { quickNormalScore } from "../control-charts/baseline.ts";
import { dispersionAllowance } from "../control-charts/dispersion.ts";
import { BASELINE_CHECKS } from "../control-charts/individuals.ts";
import { type ChartDesign, LEVEL_WEIGHT, SCATTER_CLIP, SCATTER_OF } from "./design.ts";
import type { LifeSeries } from "./life-series.ts";
import { LifeLearner, type StreamLimits } from "./limits.ts";
import { StepFilter } from "./step-filter.ts";

export const CHARTS = ["level", "step", "scatter"] as const;
export type ChartName = (typeof CHARTS)[number];

/** One signal of one chart, as it was raised. */
export interface StreamSignal {
  readonly chart: ChartName;
  /** Index of the check at which it was raised. */
  readonly at: number;
  /** Index of the check that it began with: for a step that two checks show, the first of them. */
  readonly from: number;
  /** In the chart's own unit, signed for level and step. */
  readonly size: number;
  readonly limit: number;
  /** By how much the quantity is off. Unit: that of the quantity; 0 for scatter. */
  readonly change: number;
}

/** A level that came back within this share of its limit may signal again. */
const ARMED_AGAIN = 0.5;

/** Median of a squared standard normal value. */
const MEDIAN_SQUARE = 0.4549;

/** What is allowed for movement is no part of a level that it widens by less than this share. */
const TELLS_OF_MOVEMENT = 0.1;

/** What a sound unit moves by itself is allowed for up to a usual time between services; later a move is a move. Unit: years. */
const LONGEST_ALLOWANCE = 1;

const DAYS_A_YEAR = 365.25;

/**
 * The three charts of one quantity over one life. One object is a workspace: `run` overwrites what the run before
 * left. No allocation per check.
 *
 * @remarks
 * Level: exponentially weighted mean of checks against the baseline, over its standard deviation, which holds what is
 * not known of the baseline and how far sound units of the fleet move by themselves; a single check counts for no
 * more than the limit, so that a stray one cannot signal alone. Until the baseline is frozen, checks are scored
 * against what was learned before them. Step: one prediction error beyond the limit where the check is off in all
 * three bands, which no slip at one reading explains; or two in a row beyond a lower limit on one side.
 * Scatter:
 * cumulative sum of their squares, from the frozen baseline on; a step is taken out of it again.
 */
export class StreamChart {
  /** By check; NaN where the check does not tell the quantity. Units: those of {@link ChartDesign}. */
  level = new Float64Array(0);
  step = new Float64Array(0);
  scatter = new Float64Array(0);
  /** Score of the check against the baseline alone. */
  score = new Float64Array(0);
  /**
   * Share of the fleet model's movement with which the level would lie at the median of what is expected; NaN where
   * movement hardly matters. Half of a sound fleet's are above the share that its units really move.
   */
  movedShare = new Float64Array(0);
  signals: StreamSignal[] = [];
  /** After the run: level and rate at the last check, in standard deviations. */
  lastLevel = 0;
  lastRate = 0;

  /**
   * @param together By check: 1 where it is off in all three bands; see {@link offTogether}.
   * @param limits As kept; null while there are fewer than eight checks.
   * @param moving Share of the fleet model's movement of sound units that is allowed for until there are limits.
   * @returns false where no check of the life tells the quantity.
   */
  run(
    series: LifeSeries,
    q: number,
    together: Uint8Array,
    limits: StreamLimits | null,
    design: ChartDesign,
    moving: number,
  ): boolean {
    const n = series.day.length;
    this.prepare(n);
    const movement = series.movement[q];
    if (!movement) return false;
    const { day, checks } = series;
    const [value, variance] = [series.value[q]!, series.variance[q]!];
    const learner = new LifeLearner(movement, series);
    const filter = new StepFilter(movement);
    const level = new WeightedMean();
    const rate = limits?.rateVariance ?? moving * movement.soundRate;
    const wander = limits?.wanderVariance ?? moving * movement.wander;
    const scatter = SCATTER_OF.has(q) ? new SquareSum() : null;
    let armed = true;
    let before = 0; // the prediction error of the check before
    let beforeAt = -1;
    let raisedAt = -2; // the check that signalled by itself
    let frozen = false;
    for (let k = 0; k < n; k++) {
      const y = value[k]!;
      if (Number.isNaN(y)) continue;
      const u = variance[k]!;
      const isLearning = limits === null || learner.seen < BASELINE_CHECKS;
      if (!isLearning && !frozen) {
        frozen = true;
        level.restart();
      }
      const base = isLearning ? null : limits;
      const scale = base ? base.scale : Math.sqrt(learner.learner.variance);
      const df = base ? base.df : learner.learner.df;
      const centre = base ? base.mean : learner.learner.mean;
      const centreDay = base ? base.centreDay : learner.centreDay;

      const error = filter.predict(checks.year[k]!, y, u * scale * scale);
      const z = quickNormalScore(error, df);
      const score = base
        ? quickNormalScore((y - base.mean) / (base.scale * Math.sqrt(u)), base.df)
        : learner.take(day[k]!, y, u);
      const years = Math.min(LONGEST_ALLOWANCE, Math.max(0, day[k]! - centreDay) / DAYS_A_YEAR);
      const moved = wander * years + rate * years * years;
      level.add(Math.max(-design.level, Math.min(design.level, score)), 1 / (scale * Math.sqrt(u)));
      const ofBaseline = base ? (base.scale * base.scale) / base.meanWeight : 0;
      const size = level.overSd(ofBaseline + moved);
      this.movedShare[k] = level.shareOf(
        movement.wander * years + movement.soundRate * years * years,
        ofBaseline,
      );

      this.level[k] = size;
      this.step[k] = z;
      this.score[k] = score;
      if (Math.abs(size) > design.level) {
        if (armed) this.raise("level", k, k, size, design.level, y - centre);
        armed = false;
      } else if (Math.abs(size) < ARMED_AGAIN * design.level) armed = true;

      const isSecond =
        Math.abs(z) > design.step && Math.abs(before) > design.step && Math.sign(z) === Math.sign(before);
      if (isSecond) {
        const least = Math.sign(z) * Math.min(Math.abs(z), Math.abs(before));
        // The first of the two may have signalled by itself.
        if (raisedAt !== beforeAt) this.raise("step", k, beforeAt, least, design.step, filter.error);
        filter.restart();
        scatter?.dropHeld();
      } else {
        if (Math.abs(z) > design.check && together[k] === 1) {
          this.raise("step", k, k, z, design.check, filter.error);
          raisedAt = k;
        }
        filter.update();
        if (scatter && frozen) {
          // What may be the first check of a step waits for the next check to say so.
          scatter.add(z, Math.abs(z) > design.step);
          this.scatter[k] = scatter.sum;
          if (scatter.passes(design.scatter))
            this.raise("scatter", k, scatter.from(k), scatter.sum, design.scatter, 0);
        }
      }
      before = isSecond ? 0 : z;
      beforeAt = k;
      this.lastLevel = size;
    }
    this.lastRate = filter.rateScore();
    return true;
  }

  private raise(
    chart: ChartName,
    at: number,
    from: number,
    size: number,
    limit: number,
    change: number,
  ): void {
    this.signals.push({ chart, at, from, size, limit, change });
  }

  private prepare(n: number): void {
    if (this.level.length < n) {
      this.level = new Float64Array(n);
      this.step = new Float64Array(n);
      this.scatter = new Float64Array(n);
      this.score = new Float64Array(n);
      this.movedShare = new Float64Array(n);
    }
    for (const column of [this.level, this.step, this.scatter, this.score, this.movedShare])
      column.fill(Number.NaN, 0, n);
    this.signals = [];
    this.lastLevel = 0;
    this.lastRate = 0;
  }
}

/** Exponentially weighted mean of scores, with how strongly a common shift of the quantity shows in it. */
class WeightedMean {
  private mean = 0;
  private variance = 0;
  private gain = 0;

  restart(): void {
    this.mean = 0;
    this.variance = 0;
    this.gain = 0;
  }

  /** @param gain Change of the score per unit of the quantity. */
  add(score: number, gain: number): void {
    this.mean += LEVEL_WEIGHT * (score - this.mean);
    this.variance = (1 - LEVEL_WEIGHT) ** 2 * this.variance + LEVEL_WEIGHT ** 2;
    this.gain += LEVEL_WEIGHT * (gain - this.gain);
  }

  /** @param common Variance of what all the scores share. Unit: squared unit of the quantity. */
  overSd(common: number): number {
    return this.mean / Math.sqrt(this.variance + this.gain ** 2 * common);
  }

  /** Share of `moved` that puts the mean at its median distance, beside `others`; NaN where it makes no difference. */
  shareOf(moved: number, others: number): number {
    const own = this.variance + this.gain ** 2 * others;
    const added = this.gain ** 2 * moved;
    return added > TELLS_OF_MOVEMENT * own ? (this.mean ** 2 / MEDIAN_SQUARE - own) / added : Number.NaN;
  }
}

/** Cumulative sum of clipped squares; signals once a run. */
class SquareSum {
  sum = 0;
  private held: number | null = null;
  private signalled = false;
  private length = 0;
  private static readonly allowance = dispersionAllowance();

  add(z: number, hold: boolean): void {
    if (this.held !== null) this.take(this.held);
    this.held = hold ? z : null;
    if (!hold) this.take(z);
  }

  /** The check that was held was the first of a step. */
  dropHeld(): void {
    this.held = null;
  }

  private take(z: number): void {
    this.sum = Math.max(0, this.sum + Math.min(SCATTER_CLIP, Math.abs(z)) ** 2 - SquareSum.allowance);
    this.length++;
    if (this.sum > 0) return;
    this.signalled = false;
    this.length = 0;
  }

  passes(limit: number): boolean {
    if (this.signalled || !(this.sum > limit)) return false;
    this.signalled = true;
    return true;
  }

  /** Index of the check that the run began with, about. */
  from(at: number): number {
    return Math.max(0, at - this.length + 1);
  }
}
