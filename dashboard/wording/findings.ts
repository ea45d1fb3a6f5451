import type { FoundOut, ResultOff } from "../../analysis/index.ts";
import type { FindingDecision, OutFinding } from "../../ingest/index.ts";
import type { ToldFinding, ToldSince } from "../assessment/out-findings.ts";
import { date } from "./dates.ts";
import { counted, decimal, percent, signed, THIN } from "./numbers.ts";

/** Sentences about units found out of tolerance, and since when. */

export const DECISION_LABEL = {
  "look-into": "being looked into",
  "no-effect": "no effect on results",
  retest: "results to be measured again",
  "recall-review": "released products to be reviewed",
} as const;

export const FINDINGS_CAUTION =
  "Decisions on earlier results and released products belong to qualified persons; this program records them and makes " +
  "none. Nothing is closed by itself.";

export const WINDOW_CAPTION =
  "In each picture the soft bar holds 90 % of the days on which the unit may have left tolerance, the stroke parts them in halves, and the square is the day on which it was found.";
export const OFF_CAPTION =
  "The unit\u2019s own error on the day on which it was found, without what fluid lots and baths did to its checks; % of a result at that torque.";
export const RESULTS_CAPTION =
  "From the earliest credible day until it was found. Off by: the unit\u2019s own error on that day at that torque, with the range that holds 90 %.";
export const DECIDE_CAPTION =
  "Kept with name and time; nothing is changed or removed afterwards. Every decision but \u201cbeing looked into\u201d closes the finding; a later one may open it again.";

/** "12 Jan 2026", and the days that hold 90 %. */
export function sinceText(since: ToldSince | null): { readonly day: string; readonly range: string } {
  if (since === null) return { day: "not known", range: "its checks cannot tell" };
  if (since.left === null) {
    return { day: "more likely never", range: `out with ${percent(since.chanceOut)}, by all its checks` };
  }
  const { p05, p50, p95 } = since.left;
  return { day: date(p50), range: `${date(p05)} to ${date(p95)}` };
}

/** For those who do not see the picture. */
export function sinceAloud(found: FoundOut, since: ToldSince | null): string {
  return `Found ${date(found.foundDay)}. ${windowText(since)}`;
}

/** "Recorded on 3 Feb 2026 by Ada: as-found check." */
export function recordedText({ id, openedAtMs, by, why }: OutFinding): string {
  return `${date(openedAtMs / 86_400_000)}, ${by}: recorded as number ${id}. ${why}`;
}

/** "5 Feb 2026, Ada: no effect on results. Tested on 4 Feb." */
export function decidedText({ decidedAtMs, by, decision, why }: FindingDecision): string {
  return `${date(decidedAtMs / 86_400_000)}, ${by}: ${DECISION_LABEL[decision]}. ${why}`;
}

export const CHECKS_CAPTION =
  "From the earliest credible day on. As read, the reading furthest off; beside it what the unit itself was off by, fluid " +
  "lot and bath taken away, at that torque.";

/** "as found by the service on 3 Feb 2026, 1.3 times its tolerance". */
export function foundText({ servicedDay, foundDay, worst }: FoundOut): string {
  const size = `${decimal(worst, 1)} times its tolerance`;
  if (servicedDay === null && worst <= 1) {
    return `by its own error, fluid lot and bath taken away; its latest check, on ${date(foundDay)}, read ${size}`;
  }
  return servicedDay === null
    ? `by its checks, the latest on ${date(foundDay)} at ${size}`
    : `by the service on ${date(servicedDay)}, at ${size}`;
}

/** "most likely since 12 Jan 2026; hardly before 2 Jan, almost surely by 20 Jan 2026". */
export function windowText(since: ToldSince | null): string {
  if (since === null) return "Its checks cannot tell since when.";
  if (since.left === null) {
    return `By all its checks it was more likely within tolerance: out with ${percent(since.chanceOut)}. The reading may have been the fluid\u2019s, the bath\u2019s or stray.`;
  }
  const { p05, p50, p95 } = since.left;
  return `Most likely out since ${date(p50)}: with 5${THIN}% since ${date(p05)} or before, with 95${THIN}% since ${date(p95)} or before.`;
}

/** The hard bounds, by the checks as they were read. */
export function boundsText(since: ToldSince | null): string {
  if (since === null) return "";
  const sound =
    since.lastSoundDay === null
      ? "no check of this life was sound"
      : `last sound check ${date(since.lastSoundDay)}`;
  const unsound =
    since.firstUnsoundDay === null
      ? "no unsound check after it"
      : `first unsound check after it ${date(since.firstUnsoundDay)}`;
  return `${sound}; ${unsound}`;
}

/** "+2.1 % at 20 % torque (1.6 to 2.7)". */
export function offText({ torquePercent, p05, p50, p95 }: ResultOff): string {
  return `${signed(p50, 1)}${THIN}% at ${decimal(torquePercent, 0)}${THIN}% torque (${signed(p05, 1)} to ${signed(p95, 1)})`;
}

/** Who decided what, or that nobody has yet. */
export function standsText({ record }: ToldFinding): string {
  if (record === null) return "not recorded yet";
  const last = record.decisions.at(-1);
  if (last === undefined) return `recorded by ${record.by}, no decision yet`;
  return `${DECISION_LABEL[last.decision]}, decided by ${last.by}`;
}

/** "3 units were found out since 1 Apr 2025; 2 findings are open." */
export function findingsHeadline(findings: readonly ToldFinding[], fromDay: number): string {
  if (findings.length === 0) return `No unit was found out of tolerance since ${date(fromDay)}.`;
  const open = findings.filter((finding) => !finding.isClosed).length;
  const rest =
    open === 0
      ? "every finding is closed"
      : open === findings.length
        ? "no finding is closed yet"
        : `${counted(open, "finding is", "findings are")} open, ${findings.length - open} closed`;
  return `${counted(findings.length, "time")} a unit was found out of tolerance since ${date(fromDay)}; ${rest}.`;
}
