/**
 * Sum with the rounding of every addition carried along.
 *
 * @remarks
 * The result is as if summed in twice the precision and rounded once. Infinite and NaN terms give what plain
 * addition gives.
 *
 * Source: Neumaier (1974), Rundungsfehleranalyse einiger Verfahren zur Summation endlicher Summen, from memory.
 *
 * @returns 0 for no values.
 * @example
 * compensatedSum([1, 1e100, 1, -1e100]); // 2
 */
export function compensatedSum(values: ArrayLike<number>): number {
  let sum = 0;
  let lost = 0;
  for (let i = 0; i < values.length; i++) {
    const value = values[i]!;
    const next = sum + value;
    lost += Math.abs(sum) >= Math.abs(value) ? sum - next + value : value - next + sum;
    sum = next;
  }
  return Number.isFinite(sum) ? sum + lost : sum;
}
