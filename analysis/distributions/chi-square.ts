import cdf from "@stdlib/stats-base-dists-chisquare-cdf";
import quantile from "@stdlib/stats-base-dists-chisquare-quantile";
import { requireDegreesOfFreedom, requireOpenProbability } from "./arguments.ts";

/** Probability that a chi-square value is at most `x`. @throws {RangeError} for degrees of freedom not above 0. */
export function chiSquareCdf(x: number, df: number): number {
  requireDegreesOfFreedom("chiSquareCdf", df);
  return cdf(x, df);
}

/** The value below which chi-square lies with probability `p`. @throws {RangeError} as {@link chiSquareCdf}, and unless 0 < p < 1. */
export function chiSquareQuantile(p: number, df: number): number {
  requireDegreesOfFreedom("chiSquareQuantile", df);
  requireOpenProbability("chiSquareQuantile", p);
  return quantile(p, df);
}
