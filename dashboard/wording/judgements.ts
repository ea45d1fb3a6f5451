import type { StandingJudgement } from "../assessment/judgements.ts";
import { date } from "./dates.ts";
import { decimal } from "./numbers.ts";

const DAY_MS = 86_400_000;

/** One note in a line: what, why, who, when; and what became of it. */
export function judgementText(note: StandingJudgement): string {
  const { why, by, madeAtMs, undoneBy } = note;
  const said = `${subject(note)}: ${why} (${by}, ${date(madeAtMs / DAY_MS)})`;
  return undoneBy === null
    ? `${said}.`
    : `${said}; taken back: ${undoneBy.why} (${undoneBy.by}, ${date(undoneBy.madeAtMs / DAY_MS)}).`;
}

function subject({ kind, checkedAtMs, speedRpm, onDay }: StandingJudgement): string {
  const day = onDay === null ? "" : date(Date.parse(onDay) / DAY_MS);
  switch (kind) {
    case "set-aside": {
      const check = `the check of ${date(checkedAtMs! / DAY_MS)}`;
      return speedRpm === null
        ? `Set aside ${check}`
        : `Set aside the reading at ${decimal(speedRpm, 1)} min\u207b\u00b9 of ${check}`;
    }
    case "step-cause":
      return `Cause of the step about ${day}`;
    case "baseline":
      return `Limits of the control charts from the first eight checks from ${day} on`;
    default:
      return `Remark on ${day}`;
  }
}

/** Who settled what a step came from. */
export function settledText({ why, by }: StandingJudgement): string {
  return `Settled by ${by}: ${why}.`;
}
