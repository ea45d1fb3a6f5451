import { DateTime } from "luxon";
import { DAY_MS } from "./days.ts";

/** Weeks by ISO 8601: from Monday to Sunday, named like "2026-W14". Days count from 1970-01-01 UTC. */

export function mondayOf(day: number): number {
  // 1970-01-05 was a Monday.
  return Math.floor((Math.floor(day) - 4) / 7) * 7 + 4;
}

export function isoWeekOf(day: number): string {
  return DateTime.fromMillis(Math.floor(day) * DAY_MS, { zone: "utc" }).toFormat("kkkk-'W'WW");
}

/** Monday of a week written like "2026-W14"; null where it is none. */
export function mondayOfIsoWeek(text: string): number | null {
  if (!/^\d{4}-W\d{2}$/.test(text)) return null;
  const monday = DateTime.fromISO(text, { zone: "utc" });
  return monday.isValid ? monday.toMillis() / DAY_MS : null;
}
