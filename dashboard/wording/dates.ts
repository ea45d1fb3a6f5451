import { DateTime } from "luxon";

/** Days as a reader sees them. A day is a count since 1970-01-01 UTC; a fraction is dropped. */

const MS_PER_DAY = 86_400_000;

function at(day: number): DateTime {
  // en-US writes Sep where en-GB writes Sept; the months then all have three letters.
  return DateTime.fromMillis(Math.floor(day) * MS_PER_DAY, { zone: "utc", locale: "en-US" });
}

/** "2 Aug 2026". */
export function date(day: number): string {
  return at(day).toFormat("d MMM yyyy");
}

/** The same of an ISO day. */
export function dateOfIso(iso: string): string {
  return date(Date.parse(iso) / MS_PER_DAY);
}

/** "2 Aug", where the year is plain from what stands beside it. */
export function dateInYear(day: number): string {
  return at(day).toFormat("d MMM");
}

/** "Aug 2026". */
export function monthAndYear(day: number): string {
  return at(day).toFormat("MMM yyyy");
}

/** "Aug", where the year is plain from what stands before it. */
export function month(day: number): string {
  return at(day).toFormat("MMM");
}

/** The first of every month between two days. */
export function monthStarts(
  fromDay: number,
  toDay: number,
): { readonly day: number; readonly month: number }[] {
  const starts: { day: number; month: number }[] = [];
  const from = at(fromDay);
  let start = from.startOf("month");
  if (start < from) start = start.plus({ months: 1 });
  for (; start.toMillis() <= toDay * MS_PER_DAY; start = start.plus({ months: 1 })) {
    starts.push({ day: start.toMillis() / MS_PER_DAY, month: start.month });
  }
  return starts;
}

/** How far away a day is, seen from another: "today", "in 3 days", "in 13 weeks", "2 weeks ago". */
export function distance(day: number, fromDay: number): string {
  const days = Math.floor(day) - Math.floor(fromDay);
  if (days === 0) return "today";
  const size = Math.abs(days);
  const text = size < 14 ? `${size} ${size === 1 ? "day" : "days"}` : `${Math.round(size / 7)} weeks`;
  return days > 0 ? `in ${text}` : `${text} ago`;
}
