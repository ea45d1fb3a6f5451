import { LengthMismatchError, SingularDesignError, TooFewPointsError } from "../errors.ts";
import { requireFinite } from "./moments.ts";

export interface LeastSquaresFit {
  /** One a column of the design, in its order. */
  readonly coefficients: Float64Array;
  /** (X'X)^-1: times the residual variance it is the coefficients' covariance. Shape: columns x columns. */
  readonly inverseInformation: readonly Float64Array[];
  readonly residuals: Float64Array;
  readonly residualSquares: number;
  /** Rows minus columns. */
  readonly df: number;
}

/** A column shorter than this share of its length, once the others are taken out, is a combination of them. */
const RANK_TOLERANCE = 1e-10;

/**
 * Least squares by Householder's orthogonal decomposition.
 *
 * @remarks
 * Columns are scaled to unit length first, so that mixed units cost no digits; the normal equations are never
 * formed. The residuals are fitted once more and the correction added, which wins back digits on badly conditioned
 * designs. For weights, scale row and response by the root of the weight. O(n p^2).
 *
 * Source: Golub and Van Loan, Matrix Computations, 5.3, from memory; held against the NIST StRD sets.
 *
 * @param columns The design, column by column. Shape: p columns of n >= p values.
 * @param response Shape: n values.
 * @throws {TooFewPointsError} for fewer rows than columns.
 * @throws {LengthMismatchError} for columns of different length.
 * @throws {SingularDesignError} for a column that is a combination of the others.
 * @throws {NonFiniteValueError} for NaN or infinity.
 */
export function leastSquares(
  columns: readonly ArrayLike<number>[],
  response: ArrayLike<number>,
): LeastSquaresFit {
  const n = response.length;
  const p = columns.length;
  if (n < p || n === 0) throw new TooFewPointsError("leastSquares", Math.max(p, 1), n);
  requireFinite("leastSquares", response);
  for (const column of columns) {
    if (column.length !== n) throw new LengthMismatchError("leastSquares", n, column.length);
    requireFinite("leastSquares", column);
  }

  const scales = columns.map((column) => lengthOf(column));
  const q = decompose(columns.map((column, j) => scaled(column, scales[j]!)));

  const first = solve(q, response);
  const correction = solve(q, residualsOf(columns, scales, response, first));
  const unscaled = first.map((value, j) => value + correction[j]!);
  const residuals = residualsOf(columns, scales, response, unscaled);

  return {
    coefficients: unscaled.map((value, j) => value / scales[j]!),
    inverseInformation: inverseOfRtR(q.r, scales),
    residuals,
    residualSquares: residuals.reduce((sum, e) => sum + e * e, 0),
    df: n - p,
  };
}

interface Decomposition {
  /** Householder vectors, one a column, zero above the diagonal. */
  readonly vectors: readonly Float64Array[];
  /** Upper triangle, column by column. */
  readonly r: readonly Float64Array[];
}

function decompose(columns: readonly Float64Array[]): Decomposition {
  const p = columns.length;
  const vectors: Float64Array[] = [];
  for (let j = 0; j < p; j++) {
    const v = columns[j]!.slice();
    v.fill(0, 0, j);
    const length = lengthOf(v);
    if (!(length > RANK_TOLERANCE)) {
      throw new SingularDesignError("leastSquares", `column ${j} is a combination of the others`);
    }
    // The sign that adds, never cancels.
    v[j]! += v[j]! < 0 ? -length : length;
    vectors.push(scaled(v, lengthOf(v)));
    for (let k = j; k < p; k++) reflect(vectors[j]!, columns[k]!);
  }
  return { vectors, r: columns };
}

function solve({ vectors, r }: Decomposition, response: ArrayLike<number>): Float64Array {
  const p = r.length;
  const rotated = Float64Array.from(response);
  for (const v of vectors) reflect(v, rotated);
  const solution = new Float64Array(p);
  for (let j = p - 1; j >= 0; j--) {
    let value = rotated[j]!;
    for (let k = j + 1; k < p; k++) value -= r[k]![j]! * solution[k]!;
    solution[j] = value / r[j]![j]!;
  }
  return solution;
}

/** x <- x - 2 v (v'x), for v of unit length. */
function reflect(v: Float64Array, x: Float64Array): void {
  let dot = 0;
  for (let i = 0; i < x.length; i++) dot += v[i]! * x[i]!;
  for (let i = 0; i < x.length; i++) x[i]! -= 2 * v[i]! * dot;
}

function inverseOfRtR(r: readonly Float64Array[], scales: readonly number[]): Float64Array[] {
  const p = r.length;
  // Columns of R^-1 by back substitution on the unit vectors.
  const inverse = Array.from({ length: p }, (_, column) => {
    const x = new Float64Array(p);
    for (let j = column; j >= 0; j--) {
      let value = j === column ? 1 : 0;
      for (let k = j + 1; k <= column; k++) value -= r[k]![j]! * x[k]!;
      x[j] = value / r[j]![j]!;
    }
    return x;
  });
  return Array.from({ length: p }, (_, a) =>
    Float64Array.from({ length: p }, (_, b) => {
      let sum = 0;
      for (let k = Math.max(a, b); k < p; k++) sum += inverse[k]![a]! * inverse[k]![b]!;
      return sum / (scales[a]! * scales[b]!);
    }),
  );
}

function residualsOf(
  columns: readonly ArrayLike<number>[],
  scales: readonly number[],
  response: ArrayLike<number>,
  unscaled: Float64Array,
): Float64Array {
  const residuals = Float64Array.from(response);
  for (const [j, column] of columns.entries()) {
    const factor = unscaled[j]! / scales[j]!;
    for (let i = 0; i < residuals.length; i++) residuals[i]! -= factor * column[i]!;
  }
  return residuals;
}

function scaled(column: ArrayLike<number>, scale: number): Float64Array {
  // A column of zeros stays one; the rank check names it.
  const divisor = scale > 0 ? scale : 1;
  return Float64Array.from({ length: column.length }, (_, i) => column[i]! / divisor);
}

function lengthOf(column: ArrayLike<number>): number {
  let largest = 0;
  for (let i = 0; i < column.length; i++) largest = Math.max(largest, Math.abs(column[i]!));
  if (largest === 0) return 0;
  let sum = 0;
  for (let i = 0; i < column.length; i++) sum += (column[i]! / largest) ** 2;
  return largest * Math.sqrt(sum);
}
