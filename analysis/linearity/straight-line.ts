import {
  LengthMismatchError,
  NonFiniteValueError,
  SingularDesignError,
  TooFewPointsError,
} from "../errors.ts";
import { moments } from "../numeric/moments.ts";
import { compensatedSum } from "../numeric/sum.ts";

/** Least-squares line y = intercept + slope x with what is needed to predict from it. Units: those of x and y. */
export interface StraightLine {
  readonly count: number;
  readonly intercept: number;
  readonly slope: number;
  readonly seIntercept: number;
  readonly seSlope: number;
  readonly covariance: number;
  readonly residualSd: number;
  readonly residualSquares: number;
  readonly df: number;
  readonly rSquared: number;
  readonly meanX: number;
  readonly meanY: number;
  /** Sum of squared distances of x from its mean. */
  readonly squaresX: number;
}

/**
 * Ordinary least-squares line.
 *
 * @remarks Both variables are centred before anything is multiplied, so that large offsets cost no digits.
 *
 * @param x Known without error. Shape: n >= 3, any order, ties allowed.
 * @param y Shape: n.
 * @throws {TooFewPointsError} for fewer than 3 points: two leave nothing to judge the fit by.
 * @throws {LengthMismatchError} for x and y of different length.
 * @throws {SingularDesignError} where all x are equal.
 * @throws {NonFiniteValueError} for NaN or infinity.
 */
export function fitStraightLine(x: ArrayLike<number>, y: ArrayLike<number>): StraightLine {
  const count = x.length;
  if (y.length !== count) throw new LengthMismatchError("fitStraightLine", count, y.length);
  if (count < 3) throw new TooFewPointsError("fitStraightLine", 3, count);
  const { mean: meanX, squares: squaresX } = moments(x);
  const { mean: meanY, squares: squaresY } = moments(y);
  if (squaresX === 0) throw new SingularDesignError("fitStraightLine", "all x are equal");

  const dx = Float64Array.from({ length: count }, (_, i) => x[i]! - meanX);
  const dy = Float64Array.from({ length: count }, (_, i) => y[i]! - meanY);
  const slope = compensatedSum(dx.map((d, i) => d * dy[i]!)) / squaresX;
  const residualSquares = compensatedSum(dx.map((d, i) => (dy[i]! - slope * d) ** 2));
  const df = count - 2;
  const variance = residualSquares / df;
  return {
    count,
    intercept: meanY - slope * meanX,
    slope,
    seIntercept: Math.sqrt(variance * (1 / count + meanX ** 2 / squaresX)),
    seSlope: Math.sqrt(variance / squaresX),
    covariance: (-variance * meanX) / squaresX,
    residualSd: Math.sqrt(variance),
    residualSquares,
    df,
    rSquared: squaresY === 0 ? 0 : Math.max(0, 1 - residualSquares / squaresY),
    meanX,
    meanY,
    squaresX,
  };
}

/** Height of the line at `x` and its standard error, the correlation of the coefficients included. */
export function predictMean(line: StraightLine, x: number): { readonly value: number; readonly se: number } {
  if (!Number.isFinite(x)) throw new NonFiniteValueError("predictMean", 0, x);
  const d = x - line.meanX;
  return {
    value: line.meanY + line.slope * d,
    se: line.residualSd * Math.sqrt(1 / line.count + d ** 2 / line.squaresX),
  };
}
