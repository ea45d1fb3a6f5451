/** A number as people write it: 6 digits at most, nothing left over. */
export function amount(value: number): string {
  return String(Number(value.toPrecision(6)));
}
