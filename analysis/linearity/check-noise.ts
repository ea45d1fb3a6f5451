import { NoScatterError, TooFewPointsError } from "../errors.ts";
import type { LeastSquaresFit } from "../numeric/least-squares.ts";
import { type RegressionReadings, whitenChecks } from "./whitened-checks.ts";

/**
 * What is known beforehand about the scatter of checks.
 *
 * The readings of a check share an error in proportion to torque (fluid, temperature, filling); beside it every
 * reading has its own. Both are estimated from the checks at hand, this knowledge counting as much as `df` of them.
 */
export interface CheckNoise {
  /** Standard deviation of a single reading. Unit: % of full scale. */
  readonly repeatability: number;
  /** Standard deviation of the error that a check's readings share. Unit: % of reading. */
  readonly sharedProportional: number;
  /** Degrees of freedom that this knowledge is worth; Infinity: known, nothing is estimated. */
  readonly df: number;
}

/**
 * Resolution 0.1 % and reading; certificate 0.25 %, 0.1 K of a silicone fluid 0.2 %, filling: common practice, no
 * source. Worth three checks: enough to work from the first, and little enough that eight checks of a unit that
 * scatters three times as much still get intervals of 95 % that hold about 90 % (simulated).
 */
export const USUAL_CHECK_NOISE: CheckNoise = { repeatability: 0.1, sharedProportional: 0.35, df: 3 };

/** Coefficients under estimated check noise, with how sure the noise itself is. */
export interface NoiseFit {
  readonly coefficients: Float64Array;
  /** Shape: columns x columns. */
  readonly covariance: readonly Float64Array[];
  /** How the covariance changes with the logarithm of (shared / repeatability)^2. */
  readonly covarianceSlope: readonly Float64Array[];
  /** Covariance of (ln repeatability^2, ln (shared / repeatability)^2): [first, both, second]. */
  readonly noiseCovariance: readonly [number, number, number];
  readonly repeatability: number;
  readonly sharedProportional: number;
  /** Weighted sum of squares about the model, in squared units of the repeatability's variance. */
  readonly whitenedSquares: number;
  /** Readings minus coefficients. */
  readonly df: number;
}

/** Step in the logarithm of the variance ratio for derivatives: truncation and rounding both near 1e-7. */
const STEP = 1e-2;

/**
 * Generalised least squares with the noise of checks: variance of reading i in check g is s^2 / weight, covariance of
 * two readings of one check u^2 x_i x_j.
 *
 * @remarks
 * s and u are found by restricted maximum likelihood times a scaled inverse chi-square density for each, centred on
 * what is known beforehand; one search over u^2 / s^2, s in closed form. With `null` for the noise every reading
 * stands alone: ordinary (weighted) least squares.
 *
 * Source: Patterson and Thompson (1971) for the likelihood, methods of variance components, from memory; the
 * square root of (I + r x x')^-1 is I - (1 - 1 / sqrt(1 + r x'x)) x x' / x'x.
 *
 * @param columns The design. Shape: p columns of n values.
 * @throws {TooFewPointsError} where independent readings are not more than the columns.
 * @throws {NoScatterError} where independent readings lie on the model exactly, so that nothing can be judged.
 * @throws {SingularDesignError} for a design without information about a column.
 * @throws {NonFiniteValueError} for NaN or infinity.
 * @throws {RangeError} for known noise that is not above 0.
 */
export function fitWithNoise(
  columns: readonly ArrayLike<number>[],
  readings: RegressionReadings,
  noise: CheckNoise | null,
): NoiseFit {
  const checks = whitenChecks(columns, readings);
  const n = readings.error.length;
  const p = columns.length;
  if (noise === null) {
    if (n <= p) throw new TooFewPointsError("fitWithNoise", p + 1, n);
    const fit = checks.fit(0);
    if (fit.residualSquares === 0) throw new NoScatterError("fitWithNoise", n);
    return result(fit, fit.residualSquares / (n - p), 0, [2 / (n - p), 0, 0]);
  }

  requirePositive(noise);
  const s2 = noise.repeatability ** 2;
  const u2 = noise.sharedProportional ** 2;
  if (noise.df === Number.POSITIVE_INFINITY) return result(checks.fit(u2 / s2), s2, u2 / s2, [0, 0, 0]);

  // -2 log posterior is weight * ln s^2 + squares(ratio) / s^2 + rest(ratio); best s^2 is squares / weight.
  const weight = n - p + 2 * noise.df;
  const at = (logRatio: number) => {
    const ratio = Math.exp(logRatio);
    const { residualSquares, logDeterminants } = checks.terms(ratio);
    const squares = residualSquares + noise.df * (s2 + u2 / ratio);
    const rest = logDeterminants + noise.df * logRatio;
    return { squares, rest, profile: weight * Math.log(squares) + rest };
  };
  const centre = Math.log(u2 / s2);
  const logRatio = minimise((value) => at(value).profile, centre - 8, centre + 8);

  const [before, here, after] = [at(logRatio - STEP), at(logRatio), at(logRatio + STEP)];
  const variance = here.squares / weight;
  const first = (after.squares - before.squares) / (2 * STEP) / variance;
  const second =
    (after.squares - 2 * here.squares + before.squares) / STEP ** 2 / variance +
    (after.rest - 2 * here.rest + before.rest) / STEP ** 2;
  // Half the second derivatives of -2 log posterior, inverted.
  const [aa, ab, bb] = [weight / 2, -first / 2, second / 2];
  const determinant = aa * bb - ab * ab;
  const [lower, upper] = [logRatio - STEP, logRatio + STEP].map(
    (value) => checks.fit(Math.exp(value)).inverseInformation,
  );
  const slope = upper!.map((row, i) =>
    row.map((value, j) => ((value - lower![i]![j]!) / (2 * STEP)) * variance),
  );
  const noiseCovariance = [bb / determinant, -ab / determinant, aa / determinant] as const;
  return result(checks.fit(Math.exp(logRatio)), variance, Math.exp(logRatio), noiseCovariance, slope);
}

function requirePositive(noise: CheckNoise): void {
  for (const [name, value] of Object.entries(noise)) {
    if (!(value > 0)) throw new RangeError(`${name} must be above 0, got ${value}`);
  }
}

function result(
  fit: LeastSquaresFit,
  variance: number,
  ratio: number,
  noiseCovariance: NoiseFit["noiseCovariance"],
  slope?: readonly Float64Array[],
): NoiseFit {
  return {
    coefficients: fit.coefficients,
    covariance: fit.inverseInformation.map((row) => row.map((value) => value * variance)),
    covarianceSlope: slope ?? fit.inverseInformation.map((row) => new Float64Array(row.length)),
    noiseCovariance,
    repeatability: Math.sqrt(variance),
    sharedProportional: Math.sqrt(ratio * variance),
    whitenedSquares: fit.residualSquares,
    df: fit.df,
  };
}

const GOLDEN = (Math.sqrt(5) - 1) / 2;

/** Lowest point between `from` and `to`: the best of a coarse grid, then golden sections around it. */
function minimise(f: (x: number) => number, from: number, to: number): number {
  const cells = 16;
  const width = (to - from) / cells;
  const heights = Array.from({ length: cells + 1 }, (_, k) => f(from + k * width));
  const best = heights.indexOf(Math.min(...heights));
  let low = from + Math.max(0, best - 1) * width;
  let high = from + Math.min(cells, best + 1) * width;
  let a = high - GOLDEN * (high - low);
  let b = low + GOLDEN * (high - low);
  let [fa, fb] = [f(a), f(b)];
  while (high - low > 1e-5) {
    if (fa <= fb) {
      [high, b, fb] = [b, a, fa];
      a = high - GOLDEN * (high - low);
      fa = f(a);
    } else {
      [low, a, fa] = [a, b, fb];
      b = low + GOLDEN * (high - low);
      fb = f(b);
    }
  }
  return (low + high) / 2;
}
