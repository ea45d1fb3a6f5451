import { normalQuantile } from "../distributions/normal.ts";
import { TooFewPointsError } from "../errors.ts";

/**
 * What one service or check said about when a unit left tolerance, since it was last adjusted: within (from, to].
 * `to` is infinite where it was still within tolerance when looked at (`from`).
 */
export interface Finding {
  readonly from: number;
  readonly to: number;
}

/** R(t) = exp(-(t / scale)^shape), fitted by maximum likelihood. Times in the findings' unit. */
export interface ReliabilityFit {
  readonly model: "exponential" | "weibull";
  readonly scale: number;
  /** 1 for the exponential model. */
  readonly shape: number;
  readonly logLikelihood: number;
  readonly findings: number;
  readonly foundOut: number;
  /** Covariance of (ln scale, 1 / shape), row-major; the second row and column are 0 for the exponential model. */
  readonly covariance: readonly [number, number, number, number];
}

/** Widest search: shapes from 1/8 to 8. */
const LARGEST_LOG_SHAPE = Math.log(8);
/** A rate is found to this share of it, or after so many steps. */
const NEGLIGIBLE_STEP = 1e-14;
const MOST_STEPS = 100;

/** Of differences: their own error and that of rounding are both below 1e-5 of a confidence limit. */
const STEP = 5e-4;

/**
 * Fits a reliability model to findings that only say between which times a unit left tolerance.
 *
 * @throws {TooFewPointsError} without any unit found out: the interval then has no upper end.
 * Source: W. B. Nelson, Applied Life Data Analysis (1982), 9; likelihood of G. W. Finkelstein and R. A. Wolfe,
 * Biometrics 41 (1985) 933-945.
 */
export function fitReliability(findings: readonly Finding[], model: ReliabilityFit["model"]): ReliabilityFit {
  const foundOut = findings.filter(({ to }) => Number.isFinite(to)).length;
  if (foundOut === 0) throw new TooFewPointsError("fitReliability, of units found out,", 1, 0);
  const likelihood = (logScale: number, inverseShape: number) =>
    logLikelihood(powersAt(findings, inverseShape), Math.exp(-logScale / inverseShape));
  const bestScale = (inverseShape: number) =>
    -inverseShape * Math.log(bestRate(powersAt(findings, inverseShape)));
  const bestLikelihood = (inverseShape: number) => {
    const powers = powersAt(findings, inverseShape);
    return logLikelihood(powers, bestRate(powers));
  };
  const inverseShape =
    model === "exponential"
      ? 1
      : Math.exp(maximise((u) => bestLikelihood(Math.exp(u)), -LARGEST_LOG_SHAPE, LARGEST_LOG_SHAPE));
  const logScale = bestScale(inverseShape);
  return {
    model,
    scale: Math.exp(logScale),
    shape: 1 / inverseShape,
    logLikelihood: likelihood(logScale, inverseShape),
    findings: findings.length,
    foundOut,
    covariance: covarianceAt(likelihood, logScale, inverseShape, model),
  };
}

/**
 * The longest interval at whose end the share `target` is still within tolerance.
 *
 * @param confidence One-sided confidence of the answer; left out: the best estimate.
 * @returns Unit of the findings' times.
 */
export function intervalFor(fit: ReliabilityFit, target: number, confidence?: number): number {
  const { scale, shape, covariance } = fit;
  // ln t = ln scale + ln(-ln R) / shape: a line in what was estimated.
  const depth = Math.log(-Math.log(target));
  const log = Math.log(scale) + depth / shape;
  if (confidence === undefined) return Math.exp(log);
  const variance = covariance[0] + 2 * depth * covariance[1] + depth * depth * covariance[3];
  return Math.exp(log - normalQuantile(confidence) * Math.sqrt(Math.max(0, variance)));
}

/** Share still within tolerance after some time. */
export function reliabilityAt({ scale, shape }: ReliabilityFit, time: number): number {
  return Math.exp(-((time / scale) ** shape));
}

/** Times of findings, raised to a shape: with a rate of scale^-shape they are the hazards (t / scale)^shape. */
interface Powers {
  /** Of units still within tolerance only the sum counts, also of those found out: up to where they were within. */
  readonly within: number;
  /** Of each unit found out, from where it was within to where it was found. */
  readonly between: readonly number[];
}

function powersAt(findings: readonly Finding[], inverseShape: number): Powers {
  const powerOf = (time: number) => (time > 0 ? Math.exp(Math.log(time) / inverseShape) : 0);
  let within = 0;
  const between: number[] = [];
  for (const { from, to } of findings) {
    const power = powerOf(from);
    within += power;
    if (Number.isFinite(to)) between.push(powerOf(to) - power);
  }
  return { within, between };
}

function logLikelihood({ within, between }: Powers, rate: number): number {
  let sum = -rate * within;
  // ln(exp(-a) - exp(-b)) without the loss of digits where a and b are near each other.
  for (const power of between) sum += Math.log(-Math.expm1(-rate * power));
  return sum;
}

/**
 * The rate at which the likelihood is largest: where its slope, which falls and is convex, is 0. Newton's method comes
 * nearer from below with every step, begun where the slope cannot be below 0 yet.
 */
function bestRate({ within, between }: Powers): number {
  let rate = between.length / between.reduce((sum, power) => sum + power, within);
  for (let i = 0; i < MOST_STEPS; i++) {
    let slope = -within;
    let bend = 0;
    for (const power of between) {
      const q = power / Math.expm1(rate * power);
      slope += q;
      bend -= q * (q + power);
    }
    const step = -slope / bend;
    rate += step;
    if (!(step > NEGLIGIBLE_STEP * rate)) break;
  }
  return rate;
}

/** Golden-section search for the maximum of a function with one; to the last digits that its values tell apart. */
function maximise(of: (x: number) => number, from: number, to: number): number {
  const golden = (Math.sqrt(5) - 1) / 2;
  let [low, high] = [from, to];
  let [left, right] = [high - golden * (high - low), low + golden * (high - low)];
  let [atLeft, atRight] = [of(left), of(right)];
  for (let i = 0; i < 90 && high - low > 1e-12; i++) {
    if (atLeft >= atRight) {
      [high, right, atRight] = [right, left, atLeft];
      left = high - golden * (high - low);
      atLeft = of(left);
    } else {
      [low, left, atLeft] = [left, right, atRight];
      right = low + golden * (high - low);
      atRight = of(right);
    }
  }
  return 0.5 * (low + high);
}

/** Inverse of the observed information, by differences. */
function covarianceAt(
  likelihood: (logScale: number, inverseShape: number) => number,
  u: number,
  s: number,
  model: ReliabilityFit["model"],
): ReliabilityFit["covariance"] {
  const at = (du: number, ds: number) => likelihood(u + du * STEP, s + ds * STEP);
  const centre = at(0, 0);
  const uu = -(at(1, 0) - 2 * centre + at(-1, 0)) / STEP ** 2;
  if (model === "exponential") return [1 / uu, 0, 0, 0];
  const ss = -(at(0, 1) - 2 * centre + at(0, -1)) / STEP ** 2;
  const us = -(at(1, 1) - at(1, -1) - at(-1, 1) + at(-1, -1)) / (4 * STEP ** 2);
  const determinant = uu * ss - us * us;
  return [ss / determinant, -us / determinant, -us / determinant, uu / determinant];
}
