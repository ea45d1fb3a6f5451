/** Days between checks by how a unit is used: common practice, no source. */
const INTERVAL_DAYS: ReadonlyMap<string, number> = new Map([
  ["several_shifts", 1],
  ["daily", 7],
  ["weekly", 31],
  ["occasional", 92],
]);

/** A check is late only after this multiple of its interval and a weekend: our own choice. */
const GRACE = 1.5;
const WEEKEND_DAYS = 2;

/** Days between checks that a unit's use asks for; null where the use is not known. */
export function usualCheckInterval(usage: string | null): number | null {
  return (usage === null ? undefined : INTERVAL_DAYS.get(usage)) ?? null;
}

/**
 * The longest time from one check to the next that still counts as on time, by a unit's use.
 *
 * @param usage `several_shifts` (checked daily), `daily` (weekly), `weekly` (monthly), `occasional` (every three months).
 * @returns Unit: days; null where the use is not known.
 */
export function longestCheckGap(usage: string | null): number | null {
  const interval = usualCheckInterval(usage);
  return interval === null ? null : interval * GRACE + WEEKEND_DAYS;
}
