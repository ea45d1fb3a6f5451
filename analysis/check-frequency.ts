/** Days between checks by how a unit is used. */
export type CheckEveryDays = Readonly<Record<"several_shifts" | "daily" | "weekly" | "occasional", number>>;

/** Daily, weekly, monthly, every three months: common practice, no source. */
export const DEFAULT_CHECK_EVERY_DAYS: CheckEveryDays = {
  several_shifts: 1,
  daily: 7,
  weekly: 31,
  occasional: 92,
};

/** A check is late only after this multiple of its interval and a weekend: our own choice. */
const GRACE = 1.5;
const WEEKEND_DAYS = 2;

/**
 * Days between checks that a unit's use asks for.
 *
 * @param usage `several_shifts`, `daily`, `weekly` or `occasional`.
 * @returns null where the use is not known.
 */
export function usualCheckInterval(
  usage: string | null,
  every: CheckEveryDays = DEFAULT_CHECK_EVERY_DAYS,
): number | null {
  return usage !== null && Object.hasOwn(every, usage) ? every[usage as keyof CheckEveryDays] : null;
}

/**
 * The longest time from one check to the next that still counts as on time, by a unit's use.
 *
 * @returns Unit: days; null where the use is not known.
 */
export function longestCheckGap(
  usage: string | null,
  every: CheckEveryDays = DEFAULT_CHECK_EVERY_DAYS,
): number | null {
  const interval = usualCheckInterval(usage, every);
  return interval === null ? null : interval * GRACE + WEEKEND_DAYS;
}
