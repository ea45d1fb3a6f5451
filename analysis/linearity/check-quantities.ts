import { LengthMismatchError, TooFewPointsError } from "../errors.ts";
import { moments } from "../numeric/moments.ts";
import type { CheckNoise } from "./check-noise.ts";

/** A range of torques below this tells offset and span apart too badly to report them. Unit: % of full scale. */
const LEAST_TORQUE_RANGE = 30;

/** Straight line through one check: error at torque x % = zero + span x / 100. Units: % of full scale. */
export interface CheckLine {
  readonly zero: number;
  readonly span: number;
  /** [variance of zero, covariance, variance of span], the shared proportional error included. */
  readonly covariance: readonly [number, number, number];
}

/** How far the middle reading of one check lies from the chord between its lowest and highest torque. */
export interface CheckNonlinearity {
  /** Positive: the middle reads high. Unit: % of full scale. */
  readonly departure: number;
  readonly departureSe: number;
  /** Coefficient of 4 ((x/100)^2 - x/100), as in the contract's shape. Unit: % of full scale. */
  readonly curvature: number;
  readonly curvatureSe: number;
}

/** What one check says about its unit. */
export interface CheckQuantities {
  readonly readings: number;
  /** Mean error and the mean torque it was seen at: all that a check over a narrow range of torques can say. */
  readonly meanError: number;
  readonly meanTorque: number;
  /** null for fewer than two readings, or torques that span less than 30 %. */
  readonly line: CheckLine | null;
  /** null for fewer than three different torques, or torques that span less than 30 %. */
  readonly nonlinearity: CheckNonlinearity | null;
}

/**
 * Offset, span and nonlinearity of one check.
 *
 * @remarks
 * Three readings leave nothing to judge a parabola by, so the uncertainties come from the noise that is known, not
 * from the check's own residuals. An error in proportion to torque that the readings share (fluid, temperature,
 * filling) adds to the variance of the span only: torque is a column of the design.
 *
 * With more than three torques the parabola is fitted to all, and the departure is that of the reading nearest the
 * middle.
 *
 * @param torques Expected torques in any order. Shape: n >= 1. Unit: % of full scale.
 * @param errors Shape: n. Unit: % of full scale.
 * @throws {TooFewPointsError} for no readings.
 * @throws {LengthMismatchError} for torques and errors of different length.
 * @throws {NonFiniteValueError} for NaN or infinity.
 * @example
 * checkQuantities([20, 50, 85], [0.1, 0.05, 0.62], USUAL_CHECK_NOISE);
 * // line: zero -0.168, span 0.823; nonlinearity.departure -0.29
 */
export function checkQuantities(
  torques: ArrayLike<number>,
  errors: ArrayLike<number>,
  noise: Pick<CheckNoise, "repeatability" | "sharedProportional">,
): CheckQuantities {
  const n = torques.length;
  if (errors.length !== n) throw new LengthMismatchError("checkQuantities", n, errors.length);
  if (n === 0) throw new TooFewPointsError("checkQuantities", 1, 0);
  const x = Float64Array.from({ length: n }, (_, i) => torques[i]! / 100);
  const { mean: meanX, squares } = moments(x);
  const { mean: meanError } = moments(errors);
  const facts = { readings: n, meanError, meanTorque: 100 * meanX };
  if (100 * (Math.max(...x) - Math.min(...x)) < LEAST_TORQUE_RANGE) {
    return { ...facts, line: null, nonlinearity: null };
  }
  const span = x.reduce((sum, value, i) => sum + (value - meanX) * (errors[i]! - meanError), 0) / squares;
  const variance = noise.repeatability ** 2;
  const line: CheckLine = {
    zero: meanError - span * meanX,
    span,
    covariance: [
      variance * (1 / n + meanX ** 2 / squares),
      (-variance * meanX) / squares,
      variance / squares + noise.sharedProportional ** 2,
    ],
  };
  return { ...facts, line, nonlinearity: bend(x, errors, noise.repeatability) };
}

/** By a parabola in terms that are orthogonal over the check's own torques. */
function bend(x: Float64Array, errors: ArrayLike<number>, repeatability: number): CheckNonlinearity | null {
  if (new Set(x).size < 3) return null;
  const { mean, squares } = moments(x);
  const z = x.map((value) => value - mean);
  const meanSquare = squares / x.length;
  const skew = z.reduce((sum, d) => sum + d ** 3, 0) / squares;
  const q = z.map((d) => d * d - skew * d - meanSquare);
  const length = q.reduce((sum, value) => sum + value * value, 0);
  const second = q.reduce((sum, value, i) => sum + value * errors[i]!, 0) / length;
  const secondSe = repeatability / Math.sqrt(length);

  const [low, high] = [Math.min(...x), Math.max(...x)];
  const middle = x.reduce((best, value) =>
    Math.abs(value - (low + high) / 2) < Math.abs(best - (low + high) / 2) ? value : best,
  );
  const departurePerSecond = (middle - low) * (high - middle);
  return {
    departure: -second * departurePerSecond,
    departureSe: secondSe * departurePerSecond,
    curvature: second / 4,
    curvatureSe: secondSe / 4,
  };
}
