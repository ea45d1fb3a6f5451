import { quickNormalScore } from "../control-charts/baseline.ts";
import { BASELINE_CHECKS } from "../control-charts/individuals.ts";
import { type ChartDesign, LEVEL_WEIGHT } from "./design.ts";
import type { LifeSeries } from "./life-series.ts";
import { LifeLearner, type StreamLimits } from "./limits.ts";
import type { StreamSignal } from "./stream-signal.ts";

/** A level that came back within this share of its limit may signal again. */
export const ARMED_AGAIN = 0.5;

/** Median of a squared standard normal value. */
const MEDIAN_SQUARE = 0.4549;

/** What is allowed for movement is no part of a level that it widens by less than this share. */
const TELLS_OF_MOVEMENT = 0.1;

/** What a sound unit moves by itself is allowed for up to a usual time between services; later a move is a move. Unit: years. */
const LONGEST_ALLOWANCE = 1;

const DAYS_A_YEAR = 365.25;

/**
 * The level chart of one quantity over one life. One object is a workspace: `run` overwrites what the run before
 * left. No allocation per check.
 *
 * @remarks
 * Exponentially weighted mean of checks against the baseline, over its standard deviation, which holds what is not
 * known of the baseline and how far sound units of the fleet move by themselves; a single check counts for no more
 * than the limit, so that a stray one cannot signal alone. Until the baseline is frozen, checks are scored against
 * what was learned before them.
 */
export class LevelChart {
  /** By check; NaN where the check does not tell the quantity. Unit: standard deviations of the weighted mean. */
  level = new Float64Array(0);
  /** Score of the check against the baseline alone. Unit: sigma. */
  score = new Float64Array(0);
  /** How the unit scatters against what is expected, as known at the check, and the degrees of freedom of that. */
  scale = new Float64Array(0);
  df = new Float64Array(0);
  /**
   * Share of the fleet model's movement with which the level would lie at the median of what is expected; NaN where
   * movement hardly matters, and while the baseline, which follows it, is being learned. Half of a sound fleet's are above the share that its units really move.
   */
  movedShare = new Float64Array(0);
  signals: StreamSignal[] = [];
  /** Index of the first check that is judged by the frozen baseline; the number of checks where none is. */
  frozenFrom = 0;
  /** Level at the last check. Unit: standard deviations of the weighted mean. */
  lastLevel = 0;

  /**
   * @param limits As kept; null while there are fewer than eight checks.
   * @param moving Share of the fleet model's movement of sound units that is allowed for until there are limits.
   * @returns false where no check of the life tells the quantity.
   */
  run(
    series: LifeSeries,
    q: number,
    limits: StreamLimits | null,
    design: ChartDesign,
    moving: number,
  ): boolean {
    const n = series.day.length;
    this.prepare(n);
    const movement = series.movement[q];
    if (!movement) return false;
    const { day } = series;
    const [value, variance] = [series.value[q]!, series.variance[q]!];
    const learner = new LifeLearner(movement, series);
    const level = new WeightedMean();
    const rate = limits?.rateVariance ?? moving * movement.soundRate;
    const wander = limits?.wanderVariance ?? moving * movement.wander;
    let armed = true;
    this.frozenFrom = n;
    for (let k = 0; k < n; k++) {
      const y = value[k]!;
      if (Number.isNaN(y)) continue;
      const u = variance[k]!;
      const isLearning = limits === null || learner.seen < BASELINE_CHECKS;
      if (!isLearning && this.frozenFrom === n) {
        this.frozenFrom = k;
        level.restart();
      }
      const base = isLearning ? null : limits;
      const scale = base ? base.scale : Math.sqrt(learner.learner.variance);
      const centre = base ? base.mean : learner.learner.mean;
      const centreDay = base ? base.centreDay : learner.centreDay;
      this.scale[k] = scale;
      this.df[k] = base ? base.df : learner.learner.df;

      const score = base
        ? quickNormalScore((y - base.mean) / (base.scale * Math.sqrt(u)), base.df)
        : learner.take(day[k]!, y, u);
      const years = Math.min(LONGEST_ALLOWANCE, Math.max(0, day[k]! - centreDay) / DAYS_A_YEAR);
      const moved = wander * years + rate * years * years;
      level.add(Math.max(-design.clip, Math.min(design.clip, score)), 1 / (scale * Math.sqrt(u)));
      const ofBaseline = base ? (base.scale * base.scale) / base.meanWeight : 0;
      const size = level.overSd(ofBaseline + moved);
      if (base) {
        const fully = movement.wander * years + movement.soundRate * years * years;
        this.movedShare[k] = level.shareOf(fully, ofBaseline);
      }
      this.level[k] = size;
      this.score[k] = score;
      if (Math.abs(size) > design.level) {
        if (armed) {
          const change = y - centre;
          this.signals.push({
            chart: "level",
            at: k,
            from: k,
            size,
            limit: design.level,
            change,
            withinCheck: null,
          });
        }
        armed = false;
      } else if (Math.abs(size) < ARMED_AGAIN * design.level) armed = true;
      this.lastLevel = size;
    }
    return true;
  }

  private prepare(n: number): void {
    if (this.level.length < n) {
      this.level = new Float64Array(n);
      this.score = new Float64Array(n);
      this.scale = new Float64Array(n);
      this.df = new Float64Array(n);
      this.movedShare = new Float64Array(n);
    }
    for (const column of [this.level, this.score, this.scale, this.df, this.movedShare])
      column.fill(Number.NaN, 0, n);
    this.signals = [];
    this.lastLevel = 0;
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
