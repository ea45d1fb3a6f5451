/** Days between checks by how a unit is used: common practice, no source. */
const INTERVAL_DAYS: ReadonlyMap<string, number> = new Map([
  ["several_shifts", 1],
  ["daily", 7],
  ["weekly", 31],
  ["occasional", 92],
]);

/** A check is overdue only after this multiple of its interval: weekends and holidays are not lateness. */
export const CHECK_GRACE = 1.5;

/**
 * Days from one check to the next that a unit's use asks for.
 *
 * @param usage `several_shifts`, `daily`, `weekly`, `occasional`.
 * @returns null where the use is not known.
 */
export function checkIntervalDays(usage: string | null): number | null {
  return usage === null ? null : (INTERVAL_DAYS.get(usage) ?? null);
}
