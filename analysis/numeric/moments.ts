import { NonFiniteValueError, TooFewPointsError } from "../errors.ts";
import { compensatedSum } from "./sum.ts";

export interface Moments {
  readonly count: number;
  readonly mean: number;
  /** Sum of squared distances from the mean. */
  readonly squares: number;
  /** Divisor n - 1; 0 for a single value. */
  readonly sampleVariance: number;
  readonly sampleSd: number;
}

/**
 * Mean and sample variance, in two passes.
 *
 * @remarks
 * The mean is subtracted before anything is squared, and what rounding left in the mean is taken out of the sum of
 * squares (Chan, Golub and LeVeque 1983, from memory), so a large offset costs no digits beyond those that the data
 * themselves lost.
 *
 * @param values Shape: n >= 1, no gaps.
 * @throws {TooFewPointsError} for no values.
 * @throws {NonFiniteValueError} for NaN or infinity; carries the index.
 */
export function moments(values: ArrayLike<number>): Moments {
  const count = values.length;
  if (count === 0) throw new TooFewPointsError("moments", 1, 0);
  requireFinite("moments", values);
  // Shifting by the first value keeps the sum small; equal values then give exactly their own mean.
  const shift = values[0]!;
  const shifted = Float64Array.from({ length: count }, (_, i) => values[i]! - shift);
  const mean = shift + compensatedSum(shifted) / count;

  const distances = Float64Array.from({ length: count }, (_, i) => values[i]! - mean);
  const left = compensatedSum(distances);
  const squares = Math.max(0, compensatedSum(distances.map((d) => d * d)) - (left * left) / count);
  const sampleVariance = count > 1 ? squares / (count - 1) : 0;
  return { count, mean, squares, sampleVariance, sampleSd: Math.sqrt(sampleVariance) };
}

/**
 * Correlation of neighbours in a series.
 *
 * Source: the estimator of the NIST StRD univariate sets, sum (y_i - m)(y_(i-1) - m) / sum (y_i - m)^2.
 *
 * @param values Oldest first. Shape: n >= 2.
 * @returns Between -1 and 1; 0 where all values are equal, since nothing varies together.
 * @throws {TooFewPointsError} for fewer than 2 values.
 * @throws {NonFiniteValueError} for NaN or infinity.
 */
export function lag1Autocorrelation(values: ArrayLike<number>): number {
  if (values.length < 2) throw new TooFewPointsError("lag1Autocorrelation", 2, values.length);
  const { mean, squares } = moments(values);
  if (squares === 0) return 0;
  const products = Float64Array.from(
    { length: values.length - 1 },
    (_, i) => (values[i]! - mean) * (values[i + 1]! - mean),
  );
  return compensatedSum(products) / squares;
}

/** @throws {NonFiniteValueError} at the first NaN or infinity. */
export function requireFinite(method: string, values: ArrayLike<number>): void {
  for (let i = 0; i < values.length; i++) {
    if (!Number.isFinite(values[i])) throw new NonFiniteValueError(method, i, values[i]!);
  }
}
