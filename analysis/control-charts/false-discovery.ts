import { ImpossibleValueError } from "../errors.ts";

/**
 * p-values adjusted for the false discovery rate: the smallest rate at which each is still listed.
 *
 * @remarks
 * Holds under independence and positive dependence, so causes that units share must be taken away first.
 * O(m log m).
 *
 * Source: Benjamini and Hochberg (1995), J. Roy. Statist. Soc. B 57:289.
 *
 * @param pValues In any order, ties allowed. Shape: m.
 * @returns One a p-value, in their order, at most 1.
 * @throws {ImpossibleValueError} for a p-value outside 0 to 1.
 * @example
 * adjustForFalseDiscovery([0.01, 0.04, 0.03]); // [0.03, 0.04, 0.04]
 */
export function adjustForFalseDiscovery(pValues: ArrayLike<number>): Float64Array {
  const m = pValues.length;
  for (let i = 0; i < m; i++) {
    const p = pValues[i]!;
    if (!(p >= 0 && p <= 1))
      throw new ImpossibleValueError("adjustForFalseDiscovery", "p-value", "0 to 1", p);
  }
  const order = Array.from({ length: m }, (_, i) => i).sort((a, b) => pValues[b]! - pValues[a]!);
  const adjusted = new Float64Array(m);
  let smallest = 1;
  for (const [k, i] of order.entries()) {
    smallest = Math.min(smallest, (pValues[i]! * m) / (m - k));
    adjusted[i] = smallest;
  }
  return adjusted;
}

/**
 * Which findings to list so that no more than a share `rate` of them is expected to be false.
 *
 * @returns Indices, smallest p-value first.
 * @throws {RangeError} for a rate outside 0 to 1.
 * @throws {ImpossibleValueError} as {@link adjustForFalseDiscovery}.
 */
export function discoveries(pValues: ArrayLike<number>, rate: number): number[] {
  if (!(rate > 0 && rate < 1)) throw new RangeError(`rate must be between 0 and 1, got ${rate}`);
  const adjusted = adjustForFalseDiscovery(pValues);
  return Array.from(adjusted.keys())
    .filter((i) => adjusted[i]! <= rate)
    .sort((a, b) => pValues[a]! - pValues[b]!);
}
