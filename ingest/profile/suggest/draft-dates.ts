import { TimeReader } from "../../columns/parse-time.ts";

/** How a file seems to write its times; `format` null for ISO 8601. */
export interface DraftedDates {
  readonly format: string | null;
  /** Another order of day and month that fits as well; null where there is none. */
  readonly alsoFits: string | null;
}

const DAYS_FIRST = [
  "d.M.yyyy",
  "d/M/yyyy",
  "d-M-yyyy",
  "d. M. yyyy",
  "d MMM yyyy",
  "d-MMM-yyyy",
  "d.M.yy",
  "d/M/yy",
];
const MONTHS_FIRST = ["M/d/yyyy", "M-d-yyyy", "M.d.yyyy", "MMM d, yyyy", "M/d/yy"];
const YEARS_FIRST = ["yyyy/M/d", "yyyy.M.d", "yyyyMMdd"];
const CLOCKS = ["", " H:mm", " H:mm:ss", " h:mm a", " h:mm:ss a", ", H:mm", ", H:mm:ss", " H.mm", "'T'H:mm"];

/**
 * The way in which most of some texts are written as times.
 *
 * @returns null where no way that is known fits nine of ten of them.
 */
export function draftDates(texts: readonly string[]): DraftedDates | null {
  const distinct = [...new Set(texts)].filter((text) => text !== "");
  if (distinct.length === 0) return null;
  const fitting = (format: string | null) => {
    const reader = new TimeReader({ zone: "utc", format });
    const read = distinct.filter((text) => !Number.isNaN(reader.instantOf(text))).length;
    return read >= 0.9 * distinct.length ? read : 0;
  };
  if (fitting(null) > 0) return { format: null, alsoFits: null };
  const best = (days: readonly string[]) => {
    const fits = days.flatMap((day) =>
      CLOCKS.map((clock) => ({ format: day + clock, read: fitting(day + clock) })),
    );
    return fits.reduce((a, b) => (b.read > a.read ? b : a));
  };
  const [first, second] = [best(DAYS_FIRST), best(MONTHS_FIRST), best(YEARS_FIRST)].sort(
    (a, b) => b.read - a.read,
  );
  if (first === undefined || first.read === 0) return null;
  const isTie = second !== undefined && second.read === first.read;
  return { format: first.format, alsoFits: isTie ? second.format : null };
}
