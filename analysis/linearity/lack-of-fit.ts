import { fUpperTail } from "../distributions/f.ts";

/** Scatter about the model held against scatter of repeats at equal torque. */
export interface LackOfFit {
  readonly squaresLackOfFit: number;
  readonly dfLackOfFit: number;
  readonly squaresPureError: number;
  readonly dfPureError: number;
  readonly f: number;
  /** Probability of an F at least as large where the model holds. */
  readonly p: number;
}

/** Two torques are one where they differ by less than rounding. */
const EQUAL_WITHIN = 1e-9;

/**
 * Indicator columns, one for each distinct value: the model that only equal torques share a mean.
 *
 * @returns Shape: as many columns as distinct values, each of length n.
 */
export function groupColumns(values: ArrayLike<number>): Float64Array[] {
  const order = Array.from({ length: values.length }, (_, i) => i).sort((a, b) => values[a]! - values[b]!);
  const columns: Float64Array[] = [];
  for (const [k, i] of order.entries()) {
    const before = order[k - 1];
    if (before === undefined || values[i]! - values[before]! > EQUAL_WITHIN) {
      columns.push(new Float64Array(values.length));
    }
    columns.at(-1)![i] = 1;
  }
  return columns;
}

/**
 * F test of a model against the means of repeats.
 *
 * Source: Draper and Smith, Applied Regression Analysis, 1.5, from memory; NIST/SEMATECH e-Handbook, 4.6.1.5.
 *
 * @param residualSquares Of the model, with `df` degrees of freedom.
 * @param pureErrorSquares Of the means, with `dfPureError` degrees of freedom.
 * @returns null where repeats do not suffice, or do not scatter at all.
 */
export function lackOfFit(
  residualSquares: number,
  df: number,
  pureErrorSquares: number,
  dfPureError: number,
): LackOfFit | null {
  const dfLackOfFit = df - dfPureError;
  if (dfPureError < 1 || dfLackOfFit < 1 || !(pureErrorSquares > 0)) return null;
  const squaresLackOfFit = Math.max(0, residualSquares - pureErrorSquares);
  const f = squaresLackOfFit / dfLackOfFit / (pureErrorSquares / dfPureError);
  return {
    squaresLackOfFit,
    dfLackOfFit,
    squaresPureError: pureErrorSquares,
    dfPureError,
    f,
    p: fUpperTail(f, dfLackOfFit, dfPureError),
  };
}
