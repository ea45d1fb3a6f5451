import { normalCdf, normalQuantile } from "./distributions/normal.ts";
import { ImpossibleValueError, NonFiniteValueError } from "./errors.ts";

/**
 * Probability that the true value lies within its limits, given a measured one.
 *
 * @remarks
 * For a normal state of knowledge and no earlier knowledge of the value. It is shown beside a verdict; the verdict
 * itself follows the organisation's documented rule.
 *
 * Source: JCGM 106:2012, 7.3 and 7.4.
 *
 * @param estimate Measured value. Any unit, the same for all.
 * @param u Its standard uncertainty, above 0.
 * @param lower null: no lower limit.
 * @param upper null: no upper limit.
 * @throws {NonFiniteValueError} for an estimate that is not finite.
 * @throws {ImpossibleValueError} for an uncertainty not above 0, or an upper limit below the lower.
 * @example
 * conformanceProbability(13.6, 1.8, 12.5, 16.3); // 0.6626
 */
export function conformanceProbability(
  estimate: number,
  u: number,
  lower: number | null,
  upper: number | null,
): number {
  if (!Number.isFinite(estimate)) throw new NonFiniteValueError("conformanceProbability", 0, estimate);
  requireUncertainty("conformanceProbability", u);
  const [from, to] = [lower ?? Number.NEGATIVE_INFINITY, upper ?? Number.POSITIVE_INFINITY];
  if (!(to >= from)) {
    throw new ImpossibleValueError("conformanceProbability", "upper limit", `${from} or more`, to);
  }
  const below = (from - estimate) / u;
  const above = (to - estimate) / u;
  // On the side where both ends lie far up, the upper tails keep the digits.
  return below > 0 ? normalCdf(-below) - normalCdf(-above) : normalCdf(above) - normalCdf(below);
}

/**
 * Width of the guard band inside one limit at which a value still conforms with the given probability.
 *
 * Source: JCGM 106:2012, 8.3; ILAC-G8:09/2019.
 *
 * @param u Standard uncertainty, above 0.
 * @param probability Between 0 and 1; 0.5 needs none.
 * @returns Unit: that of `u`; negative below 0.5, where values beyond the limit are accepted.
 * @throws {RangeError} for a probability outside 0 to 1.
 * @throws {ImpossibleValueError} for an uncertainty not above 0.
 */
export function guardBand(u: number, probability: number): number {
  requireUncertainty("guardBand", u);
  return u * normalQuantile(probability);
}

function requireUncertainty(method: string, u: number): void {
  if (!(u > 0 && u < Number.POSITIVE_INFINITY)) {
    throw new ImpossibleValueError(method, "standard uncertainty", "above 0", u);
  }
}
