import type { CourseRow } from "../page-models/course.ts";
import { monthAndYear } from "./dates.ts";
import { count, counted, decimal, share } from "./numbers.ts";

/** Sentences of the fleet's course. */

export const COURSE_CAPTION =
  "Each column is the fleet at the end of a month, with what was known then: from the bed up, the share of units out, heading " +
  "out and leaning; all above is steady or not judged. The dashed mark is the share that the forecasts of that month gave to " +
  "leave tolerance before their service.";

/** Said while it is worked out. */
export function courseProgress({ done, of }: { done: number; of: number }): string {
  return `The fleet\u2019s past months are being worked out with what was known then: ${count(done)} of ${counted(of, "month")} so far. Open the page again in a while.`;
}

/** Whether forecasts of a month have come true so far. */
export function courseOutcome({ said, came, open }: CourseRow): string {
  const rest = open > 0 ? `; ${counted(open, "service")} still to come` : "";
  return `${decimal(said, 1)} said, ${count(came)} so far${rest}`;
}

/** What the forecasts of the earliest month came to, in a sentence. */
export function courseSentence([first]: readonly CourseRow[]): string {
  const { day, units, states, said, came, open } = first!;
  const rest = open > 0 ? `, with ${counted(open, "service")} still to come` : "";
  return `Of ${counted(units - states.out - states.unjudged, "unit")} within tolerance at the end of ${monthAndYear(day)}, the forecasts expected ${decimal(said, 1)} to leave it before their service; ${count(came)} have${rest}.`;
}

/** The course for those who listen: its ends and its height. */
export function courseAloud(rows: readonly CourseRow[]): string {
  const part = ({ states, units }: CourseRow): string =>
    share((states.out + states["heading-out"]) / Math.max(1, units));
  const [first, last] = [rows[0]!, rows.at(-1)!];
  return `The fleet month by month: out or heading out were ${part(first)} of the units in ${monthAndYear(first.day)} and ${part(last)} in ${monthAndYear(last.day)}. The table has every month.`;
}
