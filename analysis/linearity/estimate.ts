import { fQuantile, fUpperTail } from "../distributions/f.ts";
import { tTwoSidedP } from "../distributions/student-t.ts";
import type { NoiseFit } from "./check-noise.ts";

/** A figure with how sure it is. */
export interface Estimate {
  readonly value: number;
  readonly se: number;
  /** Degrees of freedom of `se`; Infinity where the noise is known. */
  readonly df: number;
  /** Probability of a value at least as far from 0 where the true one is 0 (two-sided t test). */
  readonly p: number;
}

/**
 * A linear combination of coefficients.
 *
 * @remarks
 * Degrees of freedom by Satterthwaite's rule: 2 over the variance of the logarithm of the squared standard error,
 * which follows from how sure the noise is. With one noise variance they are the residual's.
 *
 * Source: Satterthwaite (1946); Giesbrecht and Burns (1985), from memory.
 *
 * @param weights One a coefficient.
 */
export function combination(fit: NoiseFit, weights: readonly number[]): Estimate {
  const value = weights.reduce((sum, w, i) => sum + w * fit.coefficients[i]!, 0);
  const variance = quadraticForm(fit.covariance, weights);
  const df = satterthwaite(fit, variance, quadraticForm(fit.covarianceSlope, weights));
  const se = Math.sqrt(variance);
  return { value, se, df, p: tTwoSidedP(value / se, df) };
}

function satterthwaite({ noiseCovariance: [aa, ab, bb] }: NoiseFit, variance: number, slope: number): number {
  const g = slope / variance;
  const varianceOfLog = aa + 2 * g * ab + g * g * bb;
  return varianceOfLog > 0 ? 2 / varianceOfLog : Number.POSITIVE_INFINITY;
}

function quadraticForm(matrix: readonly Float64Array[], w: readonly number[]): number {
  return matrix.reduce((sum, row, i) => sum + w[i]! * row.reduce((inner, m, j) => inner + m * w[j]!, 0), 0);
}

/** Joint test that two coefficients are both 0. */
export interface JointTest {
  readonly f: number;
  readonly df1: 2;
  readonly df2: number;
  readonly p: number;
}

/**
 * F test of a straight line's two coefficients.
 *
 * Source: degrees of freedom as Fai and Cornelius (1996), from memory: each principal direction has its own by
 * Satterthwaite's rule, and the mean of the F distribution is matched.
 */
export function jointTest(fit: NoiseFit): JointTest {
  const directions = principalDirections(fit.covariance).map((weights) => combination(fit, weights));
  const f = directions.reduce((sum, { value, se }) => sum + (value / se) ** 2, 0) / 2;
  const df2 = jointDf(directions.map((d) => d.df));
  return { f, df1: 2, df2, p: fUpperTail(f, 2, df2) };
}

/** Degrees of freedom of a joint test from those of its directions. */
function jointDf(dfs: readonly number[]): number {
  if (dfs.every((df) => df === dfs[0])) return dfs[0]!;
  const q = dfs.length;
  const expected = dfs.reduce((sum, df) => sum + (df > 2 ? df / (df - 2) : 0), 0);
  // Below 2 the F distribution has no mean; the least sure direction then decides.
  if (dfs.some((df) => df <= 2)) return Math.min(...dfs);
  return expected > q ? (2 * expected) / (expected - q) : Number.POSITIVE_INFINITY;
}

/** Unit eigenvectors of a symmetric 2 x 2 matrix. */
function principalDirections(matrix: readonly Float64Array[]): readonly [number, number][] {
  const [a, b, d] = [matrix[0]![0]!, matrix[0]![1]!, matrix[1]![1]!];
  const angle = 0.5 * Math.atan2(2 * b, a - d);
  return [
    [Math.cos(angle), Math.sin(angle)],
    [-Math.sin(angle), Math.cos(angle)],
  ];
}

/**
 * Factor on the standard error for a band that holds a whole line at once.
 *
 * Source: Working and Hotelling (1929): sqrt(2 F(confidence; 2, df)).
 */
export function simultaneousFactor(confidence: number, df: number): number {
  return Math.sqrt(2 * fQuantile(confidence, 2, df));
}
