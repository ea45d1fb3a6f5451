import type { ReviewPage, ReviewRow } from "../page-models/review.ts";
import { date } from "./dates.ts";
import { count, counted, sentenceCase } from "./numbers.ts";
import { reviewReason, signalNote } from "./signals.ts";

/** What the list comes to, before the list. */
export function reviewHeadline({ rows, units, site }: ReviewPage): string {
  const where = site === null ? "" : ` at ${site}`;
  return rows.length === 0
    ? `No unit${where} asks for a look this week.`
    : `${rows.length} of ${counted(units, "unit")} ${rows.length === 1 ? "is" : "are"} worth a look this week${where}.`;
}

/** How the list came about, and how far it is to be trusted. */
export function reviewRestsOn({ fromDay, asOf }: ReviewPage): string {
  return (
    `Signals of the charts from ${date(fromDay)} to ${date(Date.parse(asOf) / 86_400_000)}, and every unit that stands out from what sound units ` +
    "do, all its charts counted together: about one in ten of those is here by chance (false discovery rate). Being " +
    "on the list is no finding; it says where a look is best spent."
  );
}

/** Why a unit is on the list. */
export function standsOutText({ standsOut }: ReviewRow): string | null {
  return standsOut === null ? null : `${sentenceCase(reviewReason(standsOut.because, standsOut.quantity))}.`;
}

/** How seldom a sound unit looks like this. */
export function chanceText({ standsOut }: ReviewRow): string {
  if (standsOut === null) return "not beyond the usual";
  if (standsOut.p >= 0.001) return `one in ${Math.round(1 / standsOut.p)}`;
  return standsOut.p < 1e-6
    ? "under one in a million"
    : `one in ${count(Number((1 / standsOut.p).toPrecision(1)))}`;
}

/** The newest signal of the week. */
export function newestSignalText({ signals }: ReviewRow): string | null {
  const signal = signals[0];
  return signal === undefined ? null : `${date(signal.onDay)}: ${signalNote(signal)}`;
}
