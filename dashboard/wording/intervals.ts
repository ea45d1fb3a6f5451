import type { GroupInterval, UnitInterval } from "../../analysis/index.ts";
import { count, counted, decimal } from "./numbers.ts";

/** Words about intervals between services. */

export const ADVICE_LABEL: Readonly<Record<NonNullable<UnitInterval["advice"]>["advice"], string>> = {
  shorten: "earlier",
  keep: "as it is",
  lengthen: "may be longer",
};

export const INTERVALS_CAUTION =
  "Where the maker or a rule of accreditation fixes the interval, only \u201cearlier\u201d is of use. An interval is set by your own " +
  "procedure; a low risk is no statement of conformity and does not extend a due date.";

export function daysOrNone(days: number | null): string {
  return days === null ? "\u2013" : count(Math.round(days));
}

/** "high torque: 3 of 96 found out; 95 % hold for 290 days (exponential), 310 (Weibull, shape 1.2)". */
export function groupIntervalText(group: GroupInterval, target: number): string {
  const found = `${group.group}: ${count(group.foundOut)} of ${counted(group.findings, "service")} found a unit out`;
  const { exponential, weibull } = group;
  if (exponential === null) return `${found}, so that the findings set no upper end.`;
  const share = `${decimal(100 * target, target * 100 === Math.round(target * 100) ? 0 : 1)} %`;
  const second =
    weibull === null ? "" : `, ${daysOrNone(weibull.days)} (Weibull, shape ${decimal(weibull.shape, 1)})`;
  return `${found}; ${share} hold for ${daysOrNone(exponential.days)} days (exponential)${second}; with 80 % confidence for ${daysOrNone(exponential.sureDays)}.`;
}
