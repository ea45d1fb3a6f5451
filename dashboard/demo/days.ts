/** Inside the generator a day is a number: days since 1970-01-01 UTC, fractions allowed. */

export const DAY_MS = 86_400_000;

/** Length of a year in all rates. Unit: days. */
export const YEAR_DAYS = 365.25;

/** ISO day ("2026-03-31") that a day number lies in. */
export function isoDay(day: number): string {
  return new Date(Math.floor(day) * DAY_MS).toISOString().slice(0, 10);
}

/** The days the record covers: checks lie from `first` up to, not including, `asOf`. */
export interface RecordDays {
  readonly first: number;
  readonly asOf: number;
}
