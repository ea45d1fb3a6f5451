import { FAILURES_TO_JUDGE, type RecordClass } from "../../analysis/index.ts";
import type { ClassRow, RecordPage, RecordSummary } from "../page-models/record.ts";
import { date } from "./dates.ts";
import { count, counted, decimal, percent, share, THIN } from "./numbers.ts";

/** Sentences of the page of the forecasts' record. */

/** "20 to 40 %", "under 1 %", "over 95 %". */
export function classText({ from, to }: Pick<RecordClass, "from" | "to">): string {
  const whole = (p: number): string => String(Math.round(100 * p));
  if (from === 0) return `under ${whole(to)}${THIN}%`;
  if (to === 1) return `over ${whole(from)}${THIN}%`;
  return `${whole(from)} to ${whole(to)}${THIN}%`;
}

/** "of 43 units given 20 to 40 %, 12 went out". */
export function classSentence(row: RecordClass): string {
  return `of ${counted(row.units, "unit")} given ${classText(row)}, ${row.wentOut === 0 ? "none" : count(row.wentOut)} went out`;
}

/** What the record comes to, in one sentence. */
export function recordHeadline({ record }: RecordPage): string {
  if (record === null) return "The forecasts have not been held against what came yet.";
  const { forecasts, wentOut, tooFew, quote, classes } = record;
  if (forecasts === 0)
    return "No forecast of the past can be held against anything yet: no service has come since.";
  if (tooFew || quote === null)
    return `Too few units have gone out to judge the forecasts by: ${count(wentOut)} so far, and it takes ${FAILURES_TO_JUDGE}.`;
  const off = classes.filter(({ cameTrue }) => !cameTrue);
  if (off.length === 0) return `Forecasts came true as often as they said: ${classSentence(quote)}.`;
  const [worst] = off.toSorted((a, b) => b.units - a.units);
  return off.length === 1
    ? `Forecasts mostly came true as often as they said; but ${classSentence(worst!)}.`
    : `Forecasts did not come true as often as they said: ${classSentence(worst!)}.`;
}

/** On what the record rests. */
export function recordRestsOn({ forecasts, lives, wentOut, days, asOfDay }: RecordSummary): string {
  const first = days[0];
  if (first === undefined) return `As of ${date(asOfDay)}`;
  return `As of ${date(asOfDay)} \u00b7 ${counted(forecasts, "forecast")} of ${counted(lives, "service")}, made on ${counted(days.length, "day")} since ${date(first.day)} with what was known then \u00b7 ${counted(wentOut, "unit")} went out`;
}

/** Said where the record is of an earlier state of the store. */
export const EARLIER_STATE =
  "Checks have come in since this was worked out. It is being worked out anew; what stands here stays as it is meanwhile.";

export const WORKING =
  "The past is replayed day by day, each with only what was known then. That takes a while; every other page can be used " +
  "meanwhile.";

/** How far the work is. */
export function progressText({ done, of }: NonNullable<RecordPage["progress"]>): string {
  return of === 0 ? "Reading the checks" : `${count(done)} of ${counted(of, "day")} replayed`;
}

export const CLASSES_CAPTION =
  "Each line is the units that were given about the same probability to leave tolerance before their service. The deep " +
  "water is what was said, the sign the share that went out, and the soft bar what chance leaves open with 95\u202f%. A hollow " +
  "sign came true as said; a square did not. A unit counts once a line, by its first forecast there.";

/** "21 to 52 %": what chance leaves open around the share that went out. */
export function rangeText({ lower, upper }: Pick<RecordClass, "lower" | "upper">): string {
  return `${Math.round(100 * lower)} to ${share(upper)}`;
}

/** A class read aloud. */
export function classAloud(row: ClassRow): string {
  return `Given ${classText(row)}: ${share(row.wentOut / row.units)} went out, between ${share(row.lower)} and ${share(row.upper)} by chance; ${row.cameTrue ? "as said" : "not as said"}.`;
}

/** What came, beside what was to be expected. */
export function expectedText({ expected }: RecordClass): string {
  return `${decimal(expected, expected < 10 ? 1 : 0)} to be expected`;
}

/** Whether a class came true. */
export function verdictOfClass({ wentOut, expected, cameTrue }: ClassRow): string {
  if (cameTrue) return "as said";
  return wentOut > expected ? "more than said" : "fewer than said";
}

/** How much better than plain forecasts, one sentence each. */
export function skillTexts({ skill }: RecordSummary): string[] {
  const against = (value: number | null, whom: string): string[] => {
    if (value === null) return [];
    const size = share(Math.abs(value));
    return [`${size} ${value >= 0 ? "closer to" : "further from"} what came than ${whom}.`];
  };
  return [
    ...against(skill.overBaseRate, "always saying the share that goes out"),
    ...against(skill.overLastValue, "taking each unit to stay where its last check saw it"),
    ...against(skill.overStraightLine, "a straight line through each unit\u2019s own checks"),
  ];
}

/** How long before a unit was announced. */
export function leadText({ leadTime }: RecordSummary): string | null {
  const { wentOut, announced, medianDays } = leadTime;
  if (wentOut === 0) return null;
  const head = `Of ${counted(wentOut, "unit")} that went out after a forecast, ${count(announced)} had been given an even chance or more before`;
  return medianDays === null
    ? `${head}.`
    : `${head}, half of them at least ${counted(Math.round(medianDays), "day")} before they were found out.`;
}

/** How often the stated ranges held. */
export function coverageText({ coverage }: RecordSummary): string | null {
  if (coverage === null) return null;
  return `Of ${counted(coverage.checks, "later reading")}, ${share(coverage.half)} lay within the range that was to hold 50${THIN}%, and ${share(coverage.ninety)} within the one for 90${THIN}%.`;
}

export const HOW_JUDGED =
  "Whether a unit really left tolerance is never known for certain. It is judged by its later checks up to and at its " +
  "service, with fluid lots and baths taken away as they are known today: it went out if that was likelier than not. Only " +
  "forecasts whose service has come are counted, whatever became of the unit.";

/** What the front page quotes; null: there is nothing to quote. */
export function recordQuote(record: RecordSummary | null): string | null {
  if (record === null || record.tooFew || record.quote === null) return null;
  return classSentence(record.quote);
}

/** The share that was said on average, in the table. */
export function saidText({ expected, units }: RecordClass): string {
  return percent(expected / units);
}
