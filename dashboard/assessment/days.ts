/** Conversions between ISO days, instants and the analysis' days since 1970-01-01 UTC. */

export const DAY_MS = 86_400_000;

/** "2026-03-31" -> 20543. A time of day, where given, is kept as a fraction. */
export function dayOfIso(iso: string): number {
  return Date.parse(iso) / DAY_MS;
}

/** 20543.7 -> "2026-03-31". */
export function isoOfDay(day: number): string {
  return new Date(Math.floor(day) * DAY_MS).toISOString().slice(0, 10);
}

/** Last millisecond of an ISO day. */
export function endOfDayMs(isoDay: string): number {
  return Date.parse(isoDay) + DAY_MS - 1;
}
