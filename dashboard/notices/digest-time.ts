import { DateTime } from "luxon";
import type { NoticeChoice } from "../../ingest/index.ts";

/**
 * When a weekly digest was due last.
 *
 * @remarks Where the clock of the time zone leaps over the hour, it is due when that hour would have been.
 * @returns null where none is asked for. Unit: ms.
 */
export function lastDigestDueMs(
  { digest, timeZone }: Pick<NoticeChoice, "digest" | "timeZone">,
  nowMs: number,
): number | null {
  if (digest === null) return null;
  const now = DateTime.fromMillis(nowMs, { zone: timeZone });
  const inWeekOf = (day: DateTime) =>
    day
      .startOf("week")
      .plus({ days: digest.weekday - 1 })
      .set({ hour: digest.hour })
      .toMillis();
  const thisWeek = inWeekOf(now);
  return thisWeek <= nowMs ? thisWeek : inWeekOf(now.minus({ weeks: 1 }));
}

/** The day of a moment on the clock of a time zone, as an ISO date. */
export function dayIn(timeZone: string, ms: number): string {
  return DateTime.fromMillis(ms, { zone: timeZone }).toFormat("yyyy-MM-dd");
}
