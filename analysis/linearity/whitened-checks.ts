import { type LeastSquaresFit, leastSquares } from "../numeric/least-squares.ts";

/** Readings that a regression takes, as columns of equal length. */
export interface RegressionReadings {
  /** Number of the check; readings with the same number share its error, wherever they stand. */
  readonly check: ArrayLike<number>;
  /** Expected torque. Unit: fraction of full scale. */
  readonly torque: ArrayLike<number>;
  /** Unit: % of full scale. */
  readonly error: ArrayLike<number>;
  /** Share of a full reading's weight, above 0 to 1. */
  readonly weight: ArrayLike<number>;
}

/**
 * Least squares after the errors of each check have been made independent, for one ratio of variances after another.
 * The ratio is that of the shared proportional variance to a single reading's.
 */
export interface WhitenedChecks {
  /** By orthogonal decomposition: for answers. */
  fit(ratio: number): LeastSquaresFit;
  /** By sums of products that are added up once: for a search, some hundred times as fast and two digits less good. */
  terms(ratio: number): {
    readonly residualSquares: number;
    /** ln |V| + ln |X' V^-1 X|, the single variance taken as 1. */
    readonly logDeterminants: number;
  };
}

/**
 * Prepares checks for {@link WhitenedChecks}.
 *
 * Source: V = I + r x x' for a check with torques x has the inverse I - r x x' / (1 + r x'x), and the inverse root
 * I - (1 - 1 / sqrt(1 + r x'x)) x x' / x'x.
 *
 * @param columns The design. Shape: p columns of n values.
 */
export function whitenChecks(
  columns: readonly ArrayLike<number>[],
  readings: RegressionReadings,
): WhitenedChecks {
  const n = readings.error.length;
  const root = Float64Array.from({ length: n }, (_, i) => Math.sqrt(readings.weight[i]!));
  const weigh = (column: ArrayLike<number>) => root.map((w, i) => w * column[i]!);
  const torque = weigh(readings.torque);
  // The response as a last column: one elimination then gives its residual.
  const all = [...columns, readings.error].map(weigh);
  const checks = [...Map.groupBy(torque.keys(), (i) => readings.check[i]!).values()];
  const squares = checks.map((members) => dot(torque, torque, members));

  const everything = [...torque.keys()];
  const products = all.map((a) => all.map((b) => dot(a, b, everything)));
  const withTorque = checks.map((members) => all.map((column) => dot(column, torque, members)));

  return {
    fit(ratio) {
      const whitened = all.map((column) => {
        const result = column.slice();
        for (const [g, members] of checks.entries()) {
          const s = squares[g]!;
          if (s === 0) continue;
          const share = ((1 - 1 / Math.sqrt(1 + ratio * s)) / s) * dot(column, torque, members);
          for (const i of members) result[i]! -= share * torque[i]!;
        }
        return result;
      });
      return leastSquares(whitened.slice(0, -1), whitened.at(-1)!);
    },
    terms(ratio) {
      const matrix = products.map((row) => row.slice());
      let logDeterminantOfV = 0;
      for (let g = 0; g < withTorque.length; g++) {
        const w = withTorque[g]!;
        const factor = ratio / (1 + ratio * squares[g]!);
        logDeterminantOfV += Math.log1p(ratio * squares[g]!);
        for (let a = 0; a < w.length; a++) {
          const row = matrix[a]!;
          for (let b = 0; b < w.length; b++) row[b]! -= factor * w[a]! * w[b]!;
        }
      }
      const pivots = eliminate(matrix);
      const residualSquares = Math.max(0, pivots.pop()!);
      return {
        residualSquares,
        logDeterminants: logDeterminantOfV + pivots.reduce((sum, pivot) => sum + Math.log(pivot), 0),
      };
    },
  };
}

function dot(a: Float64Array, b: Float64Array, members: readonly number[]): number {
  let sum = 0;
  for (const i of members) sum += a[i]! * b[i]!;
  return sum;
}

/** Pivots of a symmetric positive matrix; spoils the matrix. */
function eliminate(matrix: number[][]): number[] {
  for (const [k, pivotRow] of matrix.entries()) {
    for (let i = k + 1; i < matrix.length; i++) {
      const factor = matrix[i]![k]! / pivotRow[k]!;
      for (let j = k; j < matrix.length; j++) matrix[i]![j]! -= factor * pivotRow[j]!;
    }
  }
  return matrix.map((row, k) => row[k]!);
}
