import { isoOfDay } from "../assessment/days.ts";

/** A day as an ISO date, where there is one. */
export function isoOrNull(day: number | null): string | null {
  return day === null ? null : isoOfDay(day);
}
