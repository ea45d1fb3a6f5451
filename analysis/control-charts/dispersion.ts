import { fQuantile } from "../distributions/f.ts";
import { normalCdf } from "../distributions/normal.ts";
import { TooFewPointsError } from "../errors.ts";
import { requireFinite } from "../numeric/moments.ts";
import { requireDesign, solveRunLengths } from "./run-length.ts";

/** Ratio of standard deviations that the scatter chart is tuned to find. */
const TUNED_RATIO = 1.5;

/**
 * Slack of a cumulative sum of squares that is quickest at a given ratio of standard deviations.
 *
 * Source: Hawkins and Olwell (1998), Cumulative Sum Charts and Charting for Quality Improvement, from memory:
 * ln(g^2) / (1 - 1 / g^2), the likelihood ratio of two variances.
 *
 * @param ratio Above 1.
 */
export function dispersionAllowance(ratio: number = TUNED_RATIO): number {
  if (!(ratio > 1)) throw new RangeError(`ratio must be above 1, got ${ratio}`);
  return Math.log(ratio ** 2) / (1 - 1 / ratio ** 2);
}

export interface DispersionPoint {
  /** Cumulative sum, never negative. */
  readonly sum: number;
  readonly beyond: boolean;
}

/**
 * Scatter chart: one-sided cumulative sum of squared standardised values, which rises when the scatter has grown.
 *
 * @remarks A lasting shift of the mean raises it too; look at the level chart beside it.
 *
 * @param z Values with mean 0 and standard deviation 1 in control, oldest first. Shape: any length.
 * @param decisionInterval A sum above this signals; see {@link dispersionRunLength}.
 * @param clipSigma Values further off count as this far, so that one stray value cannot signal alone.
 * @throws {NonFiniteValueError} for NaN or infinity.
 * @throws {RangeError} for an interval not above 0 or a ratio not above 1.
 */
export function dispersionChart(
  z: ArrayLike<number>,
  decisionInterval: number,
  ratio: number = TUNED_RATIO,
  clipSigma: number = Number.POSITIVE_INFINITY,
): DispersionPoint[] {
  requireFinite("dispersionChart", z);
  requireDesign({ decisionInterval });
  const allowance = dispersionAllowance(ratio);
  let sum = 0;
  return Array.from({ length: z.length }, (_, i) => {
    sum = Math.max(0, sum + Math.min(clipSigma, Math.abs(z[i]!)) ** 2 - allowance);
    return { sum, beyond: sum > decisionInterval };
  });
}

/**
 * Expected number of values up to the first signal of {@link dispersionChart}.
 *
 * @remarks
 * The integral equation with the run length taken as a chain of straight pieces and the chi-square density integrated
 * exactly over each; pieces of two widths, and the error, which goes with the square of the width, taken out.
 * Holds to 2e-4 of the value up to 10,000 checks and to 1e-3 up to 40,000 (against pieces a fifth as wide).
 *
 * @param sdRatio True standard deviation of the values; 1 in control.
 * @param ratio The ratio that the chart is tuned to.
 * @param clipSigma As the chart's.
 * @param strayShare Share of values that are strays, all at the clip.
 * @throws {RangeError} for an interval or standard deviation not above 0.
 */
export function dispersionRunLength(
  decisionInterval: number,
  sdRatio = 1,
  ratio: number = TUNED_RATIO,
  clipSigma: number = Number.POSITIVE_INFINITY,
  strayShare = 0,
): number {
  requireDesign({ decisionInterval, sdRatio, clipSigma });
  const allowance = dispersionAllowance(ratio);
  const values = { variance: sdRatio ** 2, clip: clipSigma ** 2, strayShare };
  const runLength = (pieces: number) => piecewiseRunLength(decisionInterval, allowance, values, pieces);
  const [coarse, fine] = [runLength(60), runLength(120)];
  return (4 * fine - coarse) / 3;
}

function piecewiseRunLength(
  interval: number,
  allowance: number,
  { variance, clip, strayShare }: { variance: number; clip: number; strayShare: number },
  pieces: number,
): number {
  const usual = 1 - strayShare;
  const width = interval / pieces;
  // Probabilities depend on the distance of two states only: from -pieces to pieces widths.
  const pieceFrom = Array.from({ length: 2 * pieces + 1 }, (_, k) => {
    const from = Math.min(clip, (k - pieces) * width + allowance) / variance;
    const to = Math.min(clip, (k + 1 - pieces) * width + allowance) / variance;
    const all = usual * (chiSquare1(to) - chiSquare1(from));
    const upper = (usual * (partialMean(to) - partialMean(from)) - from * all) / (width / variance);
    return { fallsBelow: usual * chiSquare1(from), lower: all - upper, upper };
  });
  // All that lies beyond the clip falls on one place, between two states.
  const place = (clip - allowance) / width + pieces;
  const piece = Math.floor(place);
  const clipped = pieceFrom[piece];
  if (clipped) {
    const beyond = strayShare + usual * (1 - chiSquare1(clip / variance));
    clipped.lower += beyond * (1 - (place - piece));
    clipped.upper += beyond * (place - piece);
  }
  const states = Float64Array.from({ length: pieces + 1 }, (_, j) => j);
  // Of the probability between two states, `lower` and `upper` belong to each of them.
  const lengths = solveRunLengths(states, (i, j) => {
    const at = j - i + pieces;
    const fallsToZero = j === 0 ? pieceFrom[at]!.fallsBelow : 0;
    const fromBelow = j > 0 ? pieceFrom[at - 1]!.upper : 0;
    const fromAbove = j < pieces ? pieceFrom[at]!.lower : 0;
    return fallsToZero + fromBelow + fromAbove;
  });
  return lengths[0]!;
}

/** Distribution function of chi-square with 1 degree of freedom. */
function chiSquare1(x: number): number {
  return x <= 0 ? 0 : 1 - 2 * normalCdf(-Math.sqrt(x));
}

/** Integral of t times its density from 0 to x, which is the distribution function with 3 degrees of freedom. */
function partialMean(x: number): number {
  return x <= 0 ? 0 : chiSquare1(x) - Math.sqrt((2 * x) / Math.PI) * Math.exp(-x / 2);
}

/** Scatter within checks pooled over many, each with its own degrees of freedom. */
export interface PooledSd {
  readonly sd: number;
  readonly df: number;
}

/**
 * Pooled standard deviation within checks.
 *
 * @param sds Standard deviations within each check. Shape: n >= 1.
 * @param dfs Degrees of freedom of each, above 0.
 * @throws {TooFewPointsError} for no checks.
 * @throws {NonFiniteValueError} for NaN or infinity.
 */
export function pooledSd(sds: ArrayLike<number>, dfs: ArrayLike<number>): PooledSd {
  if (sds.length === 0) throw new TooFewPointsError("pooledSd", 1, 0);
  requireFinite("pooledSd", sds);
  requireFinite("pooledSd", dfs);
  let squares = 0;
  let df = 0;
  for (let i = 0; i < sds.length; i++) {
    squares += dfs[i]! * sds[i]! ** 2;
    df += dfs[i]!;
  }
  return { sd: Math.sqrt(squares / df), df };
}

/**
 * Upper limit for the standard deviation within one check, from the pooled one.
 *
 * Source: F test; NIST/SEMATECH e-Handbook, 2.3.5.1.1.
 *
 * @param df Degrees of freedom of the check that is judged.
 * @param level Probability to exceed the limit with unchanged scatter.
 */
export function withinCheckLimit(pooled: PooledSd, df: number, level: number): number {
  return pooled.sd * Math.sqrt(fQuantile(1 - level, df, pooled.df));
}
