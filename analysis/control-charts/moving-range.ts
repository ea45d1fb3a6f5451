import { TooFewPointsError } from "../errors.ts";
import { requireFinite } from "../numeric/moments.ts";
import { compensatedSum } from "../numeric/sum.ts";

/** Mean absolute difference of two independent normal values with sigma 1: 2 / sqrt(pi), "d2" for pairs. */
export const MEAN_RANGE_OF_PAIR = 2 / Math.sqrt(Math.PI);

/** Standard deviation of that difference: sqrt(2 - 4 / pi), "d3" for pairs. */
export const SD_OF_RANGE_OF_PAIR = Math.sqrt(2 - 4 / Math.PI);

/**
 * Absolute differences of neighbours.
 *
 * @param values Oldest first. Shape: n >= 2.
 * @returns Shape: n - 1. Unit: that of `values`.
 * @throws {TooFewPointsError} for fewer than 2 values.
 * @throws {NonFiniteValueError} for NaN or infinity; carries the index.
 */
export function movingRanges(values: ArrayLike<number>): Float64Array {
  if (values.length < 2) throw new TooFewPointsError("movingRanges", 2, values.length);
  requireFinite("movingRanges", values);
  return Float64Array.from({ length: values.length - 1 }, (_, i) => Math.abs(values[i + 1]! - values[i]!));
}

/**
 * Short-term standard deviation of single checks, from the mean moving range of neighbours.
 *
 * @remarks
 * A slow drift or one step adds little to the differences between neighbours, so this estimate stays near the
 * check-to-check noise where the overall standard deviation would swell. It reads low when neighbours are positively
 * correlated: look at the lag-1 autocorrelation before trusting limits built on it.
 *
 * Source: the expected absolute difference of two independent normal values is 2 sigma / sqrt(pi); use on charts for
 * individual values: NIST/SEMATECH e-Handbook, 6.3.2.2.
 *
 * @param values Oldest first. Shape: n >= 2, no gaps.
 * @returns Unit: that of `values`; 0 if all values are equal.
 * @throws {TooFewPointsError} for fewer than 2 values.
 * @throws {NonFiniteValueError} for NaN or infinity; carries the index.
 * @example
 * movingRangeSigma([10, 12, 11, 13]); // 1.4770..., mean range 5/3
 */
export function movingRangeSigma(values: ArrayLike<number>): number {
  const ranges = movingRanges(values);
  return compensatedSum(ranges) / ranges.length / MEAN_RANGE_OF_PAIR;
}
