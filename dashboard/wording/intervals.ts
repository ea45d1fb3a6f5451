import type { GroupInterval, UnitInterval } from "../../analysis/index.ts";
import { count, counted, decimal, listed, sentenceCase } from "./numbers.ts";

/** Words about intervals between services. */

export const ADVICE_LABEL: Readonly<Record<NonNullable<UnitInterval["advice"]>["advice"], string>> = {
  shorten: "earlier",
  keep: "as it is",
  lengthen: "may be longer",
};

export const INTERVALS_CAUTION =
  "Where the maker or a rule of accreditation fixes the interval, only \u201cearlier\u201d is of use. An interval is set by your own " +
  "procedure; a low risk is no statement of conformity and does not extend a due date.";

export const METHODS_CAPTION =
  "By its drift: the day on which the risk reaches what the target allows, from its own checks. By staircase and by in-use time: " +
  "the methods of ILAC-G24 / OIML D 10 from what its services, and those of its group, found. Longer is advised on strong evidence only.";

/** "7 units should come earlier and 31 may come later; of 16 nothing can be said." */
export function intervalsHeadline(
  counts: Readonly<Record<NonNullable<UnitInterval["advice"]>["advice"] | "unknown", number>>,
): string {
  const parts = [
    ...(counts.shorten > 0
      ? [
          `${counted(counts.shorten, "unit")} should be serviced earlier than ${counts.shorten === 1 ? "it is" : "they are"}`,
        ]
      : []),
    ...(counts.lengthen > 0 ? [`${counted(counts.lengthen, "unit")} could wait longer`] : []),
  ];
  const first = parts.length === 0 ? "No unit has earned another interval than it has" : listed(parts);
  return counts.unknown === 0
    ? `${first}.`
    : `${first}; of ${count(counts.unknown)} nothing can be said yet.`;
}

export function daysOrNone(days: number | null): string {
  return days === null ? "\u2013" : count(Math.round(days));
}

/** "high torque: 3 of 96 found out; 95 % hold for 290 days (exponential), 310 (Weibull, shape 1.2)". */
export function groupIntervalText(group: GroupInterval, target: number): string {
  const found = `${sentenceCase(group.group)}: ${count(group.foundOut)} of ${counted(group.findings, "service")} found a unit out`;
  const { exponential, weibull } = group;
  if (exponential === null) return `${found}, so that the findings set no upper end.`;
  const share = `${decimal(100 * target, target * 100 === Math.round(target * 100) ? 0 : 1)} %`;
  const second =
    weibull === null ? "" : `, ${daysOrNone(weibull.days)} (Weibull, shape ${decimal(weibull.shape, 1)})`;
  return `${found}; ${share} hold for ${daysOrNone(exponential.days)} days (exponential)${second}; with 80 % confidence for ${daysOrNone(exponential.sureDays)}.`;
}
