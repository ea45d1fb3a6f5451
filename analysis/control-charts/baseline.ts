import { normalQuantile } from "../distributions/normal.ts";
import { tCdf } from "../distributions/student-t.ts";
import { TooFewPointsError } from "../errors.ts";
import { type ChartPoint, valuesInOrder } from "./chart-point.ts";
import { requireDesign } from "./run-length.ts";

/** What the fleet says about a unit after service, before its own checks. Units: those of the charted quantity. */
export interface BaselinePrior {
  /** The value as left if recorded, else 0. */
  readonly mean: number;
  /** Standard deviation within units, pooled. */
  readonly sd: number;
  /** How many checks the mean is worth: sd^2 / variance of values as left. */
  readonly meanWeight: number;
  /**
   * How many checks the standard deviation is worth. Ten is enough for the first check, and yields to a unit's own
   * scatter within a year.
   */
  readonly df: number;
}

/** Mean and scatter after service, frozen: plain data, to be kept with what they were fitted on. */
export interface Baseline {
  readonly mean: number;
  readonly sd: number;
  /** Checks that the mean rests on, the prior's included. */
  readonly meanWeight: number;
  /** Degrees of freedom of `sd`, the prior's included. */
  readonly df: number;
  readonly count: number;
  readonly fromDay: number;
  readonly toDay: number;
}

export interface LearnedBaseline {
  readonly baseline: Baseline;
  /**
   * Each check as a standard normal value, predicted from the prior and the checks before it; null where, without a
   * prior, nothing could be predicted. Independent of each other when nothing happens.
   */
  readonly z: readonly (number | null)[];
}

/**
 * Learns a unit's baseline after service from its first checks, starting from what the fleet says.
 *
 * @remarks
 * Every check is judged before it is learned from; one beyond `signalSigma` is not learned from. Learning has to end,
 * or a shift becomes the new normal: give it the first checks only, and judge the later ones by {@link levelChart}.
 *
 * Source: predictive distribution of the normal model with its conjugate prior; without a prior the self-starting
 * chart of Hawkins (1987), The Statistician 36:299, from memory.
 *
 * @param points First checks in order of time; eight are usual. Shape: n >= 1.
 * @param prior null: from the checks alone.
 * @param signalSigma A check further off than this is left out of the baseline.
 * @throws {TooFewPointsError} for no points, or fewer than 2 learned from without a prior.
 * @throws {NonFiniteValueError} for NaN or infinity.
 * @throws {OutOfOrderError} for points that run backwards in time.
 * @throws {RangeError} for a prior whose sd, weight or df is not above 0.
 */
export function learnBaseline(
  points: readonly ChartPoint[],
  prior: BaselinePrior | null,
  signalSigma: number = Number.POSITIVE_INFINITY,
): LearnedBaseline {
  if (points.length === 0) throw new TooFewPointsError("learnBaseline", 1, 0);
  if (prior) requireDesign({ sd: prior.sd, meanWeight: prior.meanWeight, df: prior.df });
  const values = valuesInOrder("learnBaseline", points);

  const learner = new BaselineLearner(prior);
  const z = Array.from(values, (value) => {
    const t = learner.t(value);
    const score = t === null ? null : normalScore(t, learner.df);
    if (score === null || Math.abs(score) <= signalSigma) learner.learn(value);
    return score;
  });
  const { mean, meanWeight, df, count } = learner;
  if (!(df > 0)) throw new TooFewPointsError("learnBaseline", 2, count);
  const [fromDay, toDay] = [points[0]!.day, points.at(-1)!.day];
  return { baseline: { mean, sd: Math.sqrt(learner.variance), meanWeight, df, count, fromDay, toDay }, z };
}

/** A baseline on its way, one value after the other; a value's variance is in units of the squared sd that is learned. */
export class BaselineLearner {
  mean: number;
  meanWeight: number;
  df: number;
  count = 0;
  private squares: number;

  constructor(prior: BaselinePrior | null) {
    this.mean = prior?.mean ?? 0;
    this.meanWeight = prior?.meanWeight ?? 0;
    // Without a prior the first value has no degree of freedom to give.
    this.df = prior?.df ?? -1;
    this.squares = prior ? prior.df * prior.sd ** 2 : 0;
  }

  /** Square of the standard deviation learned so far. */
  get variance(): number {
    return this.squares / this.df;
  }

  /** The value against its prediction, as Student's t with `df` degrees of freedom; null: nothing predicts yet. */
  t(value: number, variance = 1): number | null {
    if (!(this.df > 0 && this.squares > 0)) return null;
    return (value - this.mean) / Math.sqrt(this.variance * (variance + 1 / this.meanWeight));
  }

  learn(value: number, variance = 1): void {
    const weight = 1 / variance;
    const sum = this.meanWeight + weight;
    this.squares += ((this.meanWeight * weight) / sum) * (value - this.mean) ** 2;
    this.mean = (this.meanWeight * this.mean + weight * value) / sum;
    this.meanWeight = sum;
    this.df++;
    this.count++;
  }
}

/** A tail thinner than this cannot be told from 0; its normal score is about 37. */
const THINNEST_TAIL = 1e-300;

/**
 * The normal value with the tail probability that `t` has, nearly: within 0.02 of {@link normalScore} up to t = 8 for 10
 * degrees of freedom or more, and many times as fast.
 *
 * Source: Wallace (1959), Annals of Mathematical Statistics 30:1124, from memory.
 */
export function quickNormalScore(t: number, df: number): number {
  return Math.sign(t) * ((8 * df + 1) / (8 * df + 3)) * Math.sqrt(df * Math.log1p((t * t) / df));
}

/** The normal value with the tail probability that `t` has. */
export function normalScore(t: number, df: number): number {
  const tail = Math.max(THINNEST_TAIL, tCdf(-Math.abs(t), df));
  // From a tail of one half on the sign of a rounded quantile would be arbitrary.
  return tail >= 0.5 ? 0 : -Math.sign(t) * normalQuantile(tail);
}

export interface LevelPoint extends ChartPoint {
  /** The check as a standard normal value against the frozen baseline. */
  readonly z: number;
  /** Weighted mean of z, and where it signals: beyond plus or minus `limit`. */
  readonly ewma: number;
  readonly limit: number;
  readonly beyond: boolean;
}

/**
 * Level chart: has the unit moved since its baseline?
 *
 * @remarks
 * Exponentially weighted mean of checks standardised by the frozen baseline. How uncertain the baseline's mean is
 * widens the limit, the more the longer the chart has run; without that, three times as many undisturbed units alarm.
 *
 * @param points Checks after the baseline's, in order of time. Shape: any length.
 * @param weight Weight of the newest check, above 0 to 1.
 * @param limitSigma In standard deviations of the weighted mean; from {@link ewmaLimit}.
 * @throws {NonFiniteValueError} for NaN or infinity.
 * @throws {OutOfOrderError} for points that run backwards in time.
 * @throws {RangeError} for a weight outside 0 to 1 or a limit not above 0.
 */
export function levelChart(
  points: readonly ChartPoint[],
  baseline: Baseline,
  weight: number,
  limitSigma: number,
): LevelPoint[] {
  requireDesign({ weight, limitSigma });
  if (weight > 1) throw new RangeError(`weight must be at most 1, got ${weight}`);
  const values = valuesInOrder("levelChart", points);
  let ewma = 0;
  let variance = 0;
  let gain = 0; // how much of the baseline's own error the weighted mean has taken up
  return points.map(({ day, value }, i) => {
    const distance = values[i]! - baseline.mean;
    const z = distance === 0 ? 0 : normalScore(distance / baseline.sd, baseline.df);
    ewma = (1 - weight) * ewma + weight * z;
    variance = (1 - weight) ** 2 * variance + weight ** 2;
    gain = 1 - (1 - weight) * (1 - gain);
    const limit = limitSigma * Math.sqrt(variance + gain ** 2 / baseline.meanWeight);
    return { day, value, z, ewma, limit, beyond: Math.abs(ewma) > limit };
  });
}
