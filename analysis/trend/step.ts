import { TooFewPointsError } from "../errors.ts";
import { moments, requireFinite } from "../numeric/moments.ts";

/** The one step in the mean that explains a series best. Units: those of the values. */
export interface StepInMean {
  /** Index of the first value after the step. */
  readonly firstAfter: number;
  readonly before: number;
  readonly after: number;
  /** Sum of squares about the two means, and about one. */
  readonly residualSquares: number;
  readonly totalSquares: number;
  /** n / 2 ln(total / residual): how much likelier two means make the series; null where they fit it exactly. */
  readonly logLikelihoodRatio: number | null;
}

/**
 * Dates the likeliest step in the mean, by least squares.
 *
 * @remarks
 * There is a best place in any series; whether there was a step is another question, which a likelihood ratio that is
 * the largest of many answers too readily. Of equally good places the first is given. O(n).
 *
 * Source: Hinkley (1970), Biometrika 57:1, from memory.
 *
 * @param values Oldest first. Shape: n >= 2.
 * @param least Values that each side must hold, 1 or more.
 * @throws {TooFewPointsError} for fewer than twice `least` values.
 * @throws {NonFiniteValueError} for NaN or infinity.
 */
export function likeliestStep(values: ArrayLike<number>, least = 1): StepInMean {
  const n = values.length;
  if (n < 2 * least) throw new TooFewPointsError("likeliestStep", 2 * least, n);
  const { mean, squares: totalSquares } = moments(values);

  // About the overall mean the two sides cancel, so that one running sum says all.
  let sum = 0;
  let firstAfter = least;
  let gain = -1;
  for (let k = 1; k <= n - least; k++) {
    sum += values[k - 1]! - mean;
    const explained = (sum * sum * n) / (k * (n - k));
    if (k >= least && explained > gain) [gain, firstAfter] = [explained, k];
  }
  const all = Array.from(values);
  const [before, after] = [moments(all.slice(0, firstAfter)), moments(all.slice(firstAfter))];
  const residualSquares = before.squares + after.squares;
  return {
    firstAfter,
    before: before.mean,
    after: after.mean,
    residualSquares,
    totalSquares,
    logLikelihoodRatio: residualSquares > 0 ? (n / 2) * Math.log(totalSquares / residualSquares) : null,
  };
}

export interface PettittTest {
  /** Largest absolute sum of signs between the two sides. */
  readonly k: number;
  /** Index of the first value after the step. */
  readonly firstAfter: number;
  /** Usual approximation, good below 0.5; at most 1. */
  readonly p: number;
}

/**
 * Test for one step at an unknown place, by ranks: wild values do not sway it.
 *
 * @remarks A drift or values that hang together make it reject too often. O(n^2).
 *
 * Source: Pettitt (1979), Applied Statistics 28:126.
 *
 * @param values Oldest first, ties allowed. Shape: n >= 2.
 * @throws {TooFewPointsError} for fewer than 2 values.
 * @throws {NonFiniteValueError} for NaN or infinity.
 */
export function pettittTest(values: ArrayLike<number>): PettittTest {
  const n = values.length;
  if (n < 2) throw new TooFewPointsError("pettittTest", 2, n);
  requireFinite("pettittTest", values);
  let u = 0;
  let k = -1;
  let firstAfter = 1;
  for (let t = 0; t < n - 1; t++) {
    for (let j = 0; j < n; j++) u += Math.sign(values[t]! - values[j]!);
    if (Math.abs(u) > k) [k, firstAfter] = [Math.abs(u), t + 1];
  }
  return { k, firstAfter, p: Math.min(1, 2 * Math.exp((-6 * k * k) / (n ** 3 + n ** 2))) };
}
