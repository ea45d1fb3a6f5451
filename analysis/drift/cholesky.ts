import { SingularDesignError } from "../errors.ts";

/**
 * Cholesky factor of a symmetric positive definite matrix, in place.
 *
 * @param a Row-major, n x n; the lower triangle is read, and replaced by the factor. The upper one is left alone.
 * @returns false where the matrix is not positive definite; `a` is then spoilt.
 */
export function factorise(a: Float64Array, n: number): boolean {
  for (let i = 0; i < n; i++) {
    const rowI = i * n;
    for (let j = 0; j <= i; j++) {
      const rowJ = j * n;
      let sum = a[rowI + j]!;
      for (let k = 0; k < j; k++) sum -= a[rowI + k]! * a[rowJ + k]!;
      if (i === j) {
        if (!(sum > 0)) return false;
        a[rowI + i] = Math.sqrt(sum);
      } else {
        a[rowI + j] = sum / a[rowJ + j]!;
      }
    }
  }
  return true;
}

/**
 * Cholesky factor, or an error that says what could not be solved.
 *
 * @throws {SingularDesignError} where the matrix is not positive definite.
 */
export function factoriseOrThrow(a: Float64Array, n: number, method: string, why: string): void {
  if (!factorise(a, n)) throw new SingularDesignError(method, why);
}

/** Solves L z = b in place; `b` starts at `at`. */
export function solveLower(factor: Float64Array, n: number, b: Float64Array, at = 0): void {
  for (let i = 0; i < n; i++) {
    let sum = b[at + i]!;
    for (let k = 0; k < i; k++) sum -= factor[i * n + k]! * b[at + k]!;
    b[at + i] = sum / factor[i * n + i]!;
  }
}

/** Solves L' x = z in place; `b` starts at `at`. */
export function solveUpper(factor: Float64Array, n: number, b: Float64Array, at = 0): void {
  for (let i = n - 1; i >= 0; i--) {
    let sum = b[at + i]!;
    for (let k = i + 1; k < n; k++) sum -= factor[k * n + i]! * b[at + k]!;
    b[at + i] = sum / factor[i * n + i]!;
  }
}

/** Natural logarithm of the determinant of the matrix that was factorised. */
export function logDeterminant(factor: Float64Array, n: number): number {
  let sum = 0;
  for (let i = 0; i < n; i++) sum += Math.log(factor[i * n + i]!);
  return 2 * sum;
}

/**
 * Inverse of the matrix that was factorised: full and symmetric, row-major.
 *
 * @remarks Inverts the factor first, then multiplies: about n^3 / 2 multiplications in rows that lie together.
 */
export function inverseFromFactor(factor: Float64Array, n: number): Float64Array {
  // Row i of `columns` holds column i of the inverse factor, from its diagonal on.
  const columns = new Float64Array(n * n);
  for (let j = 0; j < n; j++) {
    const row = j * n;
    columns[row + j] = 1 / factor[row + j]!;
    for (let i = j + 1; i < n; i++) {
      const rowI = i * n;
      let sum = 0;
      for (let k = j; k < i; k++) sum -= factor[rowI + k]! * columns[row + k]!;
      columns[row + i] = sum / factor[rowI + i]!;
    }
  }
  const inverse = new Float64Array(n * n);
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = 0;
      for (let k = i; k < n; k++) sum += columns[i * n + k]! * columns[j * n + k]!;
      inverse[i * n + j] = sum;
      inverse[j * n + i] = sum;
    }
  }
  return inverse;
}
