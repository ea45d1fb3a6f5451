import cdf from "@stdlib/stats-base-dists-t-cdf";
import quantile from "@stdlib/stats-base-dists-t-quantile";
import { requireDegreesOfFreedom, requireOpenProbability } from "./arguments.ts";
import { normalCdf, normalQuantile } from "./normal.ts";

/**
 * Probability that a value of Student's t is at most `t`.
 *
 * @param df Degrees of freedom, above 0, not necessarily whole; Infinity is the normal distribution.
 * @throws {RangeError} for degrees of freedom that are not above 0.
 */
export function tCdf(t: number, df: number): number {
  requireDegreesOfFreedom("tCdf", df);
  return df === Number.POSITIVE_INFINITY ? normalCdf(t) : cdf(t, df);
}

/** Probability of a value at least as far from 0 as `t`, on either side: the p-value of a two-sided t test. */
export function tTwoSidedP(t: number, df: number): number {
  return 2 * tCdf(-Math.abs(t), df);
}

/**
 * The value below which Student's t lies with probability `p`.
 *
 * @throws {RangeError} unless 0 < p < 1 and the degrees of freedom are above 0.
 */
export function tQuantile(p: number, df: number): number {
  requireDegreesOfFreedom("tQuantile", df);
  requireOpenProbability("tQuantile", p);
  return df === Number.POSITIVE_INFINITY ? normalQuantile(p) : quantile(p, df);
}
