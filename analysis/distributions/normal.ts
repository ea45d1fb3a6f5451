import cdf from "@stdlib/stats-base-dists-normal-cdf";
import quantile from "@stdlib/stats-base-dists-normal-quantile";
import { requireOpenProbability } from "./arguments.ts";

const LOG_SQRT_TWO_PI = 0.5 * Math.log(2 * Math.PI);

/** Below this the distribution function is too small to be a normal double; its logarithm is not. */
const FAR_TAIL = -37;

/** Density of the standard normal distribution. */
export function normalPdf(z: number): number {
  return Math.exp(-0.5 * z * z - LOG_SQRT_TWO_PI);
}

/** Probability that a standard normal value is at most `z`. */
export function normalCdf(z: number): number {
  return cdf(z, 0, 1);
}

/** Probability that a standard normal value is above `z`, without loss of digits far out. */
export function normalUpperTail(z: number): number {
  return cdf(-z, 0, 1);
}

/**
 * Natural logarithm of {@link normalCdf}, finite for any finite `z`.
 *
 * Source: below -37 the asymptotic series of Mills' ratio (Abramowitz and Stegun 26.2.12); its first left-out
 * term is below 1e-11 there, relative to a logarithm near -690.
 */
export function normalLogCdf(z: number): number {
  if (z >= 0) return Math.log1p(-cdf(-z, 0, 1));
  if (z > FAR_TAIL) return Math.log(cdf(z, 0, 1));
  const q = 1 / (z * z);
  return -0.5 * z * z - LOG_SQRT_TWO_PI - Math.log(-z) + Math.log1p(q * (-1 + q * (3 - 15 * q)));
}

/** Below this probability the package's quantile loses digits: 4e-7 of its value at 1e-12, all of it at 1e-20. */
const PACKAGE_HOLDS_FROM = 1e-4;

/**
 * The `z` below which a standard normal value lies with probability `p`, to some 1e-14 of its value at any `p`.
 *
 * @throws {RangeError} unless 0 < p < 1.
 */
export function normalQuantile(p: number): number {
  requireOpenProbability("normalQuantile", p);
  // Only the lower tail keeps its digits; the upper half follows by symmetry, and 1 - p is exact there.
  if (p > 0.5) return -normalQuantile(1 - p);
  return p < PACKAGE_HOLDS_FROM ? farQuantile(Math.log(p)) : quantile(p, 0, 1);
}

/** Newton's method on the logarithm of the distribution function, which is nearly a parabola there. */
function farQuantile(logP: number): number {
  let z = -Math.sqrt(-2 * logP);
  for (let i = 0; i < 6; i++) {
    const log = normalLogCdf(z);
    const slope = Math.exp(-0.5 * z * z - LOG_SQRT_TWO_PI - log);
    z -= (log - logP) / slope;
  }
  return z;
}
