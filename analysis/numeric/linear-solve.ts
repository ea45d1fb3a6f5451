import { SingularDesignError } from "../errors.ts";

/**
 * Solution of a square system by elimination with partial pivoting; spoils its arguments. O(n^3).
 *
 * @param matrix Row by row. Shape: n rows of n.
 * @param right Shape: n; holds the solution afterwards.
 * @throws {SingularDesignError} where a pivot is 0.
 */
export function solveInPlace(matrix: readonly Float64Array[], right: Float64Array): Float64Array {
  const n = right.length;
  const rows = [...matrix];
  for (let k = 0; k < n; k++) {
    let best = k;
    for (let i = k + 1; i < n; i++) if (Math.abs(rows[i]![k]!) > Math.abs(rows[best]![k]!)) best = i;
    [rows[k], rows[best]] = [rows[best]!, rows[k]!];
    [right[k], right[best]] = [right[best]!, right[k]!];
    const pivotRow = rows[k]!;
    const pivot = pivotRow[k]!;
    if (pivot === 0) throw new SingularDesignError("solveInPlace", "the equations depend on each other");
    for (let i = k + 1; i < n; i++) {
      const row = rows[i]!;
      const factor = row[k]! / pivot;
      if (factor === 0) continue;
      for (let j = k + 1; j < n; j++) row[j]! -= factor * pivotRow[j]!;
      right[i]! -= factor * right[k]!;
    }
  }
  for (let k = n - 1; k >= 0; k--) {
    let value = right[k]!;
    for (let j = k + 1; j < n; j++) value -= rows[k]![j]! * right[j]!;
    right[k] = value / rows[k]![k]!;
  }
  return right;
}
