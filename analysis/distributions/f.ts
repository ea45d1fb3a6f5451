import cdf from "@stdlib/stats-base-dists-f-cdf";
import quantile from "@stdlib/stats-base-dists-f-quantile";
import { requireDegreesOfFreedom, requireOpenProbability } from "./arguments.ts";
import { chiSquareCdf, chiSquareQuantile } from "./chi-square.ts";

/**
 * Probability that an F value is above `f`: the p-value of an F test, without loss of digits far out.
 *
 * @param df1 Degrees of freedom of the numerator.
 * @param df2 Degrees of freedom of the denominator; Infinity where its variance is known.
 * @throws {RangeError} for degrees of freedom not above 0.
 */
export function fUpperTail(f: number, df1: number, df2: number): number {
  requireDegreesOfFreedom("fUpperTail", df1);
  requireDegreesOfFreedom("fUpperTail", df2);
  if (f <= 0) return 1;
  if (df2 === Number.POSITIVE_INFINITY) return 1 - chiSquareCdf(df1 * f, df1);
  // 1 / F has the F distribution with the degrees of freedom exchanged.
  return cdf(1 / f, df2, df1);
}

/** The value below which F lies with probability `p`. @throws {RangeError} as {@link fUpperTail}, and unless 0 < p < 1. */
export function fQuantile(p: number, df1: number, df2: number): number {
  requireDegreesOfFreedom("fQuantile", df1);
  requireDegreesOfFreedom("fQuantile", df2);
  requireOpenProbability("fQuantile", p);
  if (df2 === Number.POSITIVE_INFINITY) return chiSquareQuantile(p, df1) / df1;
  return quantile(p, df1, df2);
}
