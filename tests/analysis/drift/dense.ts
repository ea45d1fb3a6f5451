import { solveInPlace } from "../../../analysis/numeric/linear-solve.ts";

/** The slow, obvious way: generalised least squares with the whole covariance matrix. */
export function denseInverse(matrix: readonly (readonly number[])[]): number[][] {
  const n = matrix.length;
  const columns = Array.from({ length: n }, (_, j) =>
    solveInPlace(
      matrix.map((row) => Float64Array.from(row)),
      Float64Array.from({ length: n }, (_, i) => (i === j ? 1 : 0)),
    ),
  );
  return Array.from({ length: n }, (_, i) => columns.map((column) => column[i]!));
}

/** Natural logarithm of a determinant, by elimination without pivoting (for covariance matrices). */
export function denseLogDeterminant(matrix: readonly (readonly number[])[]): number {
  const rows = matrix.map((row) => [...row]);
  let log = 0;
  for (let k = 0; k < rows.length; k++) {
    const pivot = rows[k]![k]!;
    log += Math.log(pivot);
    for (let i = k + 1; i < rows.length; i++) {
      const factor = rows[i]![k]! / pivot;
      for (let j = k; j < rows.length; j++) rows[i]![j]! -= factor * rows[k]![j]!;
    }
  }
  return log;
}

/** a' M b. */
export function bilinear(
  a: readonly number[],
  matrix: readonly (readonly number[])[],
  b: readonly number[],
): number {
  return a.reduce((sum, x, i) => sum + x * matrix[i]!.reduce((inner, m, j) => inner + m * b[j]!, 0), 0);
}
