import { type HeldDecision, type HeldRow, heldFields } from "../../ingest/index.ts";

/** One held row for programs, with all that was done about it. */
export function heldReport(row: HeldRow) {
  return {
    number: row.id,
    state: row.state,
    site: row.site,
    instrument: row.instrument,
    file: row.file,
    line: row.line,
    column: row.column,
    part: row.part,
    reason: row.reason,
    message: row.message,
    stands_against: standsAgainst(row),
    raw: row.raw,
    taken_in_at: new Date(row.takenInAtMs).toISOString(),
    fields: heldFields(row),
    decisions: row.decisions.map(decisionReport),
  };
}

/** One decision for programs. */
export function decisionReport({ madeAtMs, action, mend, replaced, ...decision }: HeldDecision) {
  return {
    at: new Date(madeAtMs).toISOString(),
    action,
    ...decision,
    row: mend?.row ?? null,
    values: mend?.values ?? null,
    replaced: replaced === null ? null : (JSON.parse(replaced) as unknown),
  };
}

/** What the checks say against a row after all that was tried; null once it is settled. */
export function standsAgainst({ state, reason, message, decisions }: HeldRow) {
  if (state !== "held") return null;
  const last = decisions.findLast((decision) => decision.message !== null);
  return { reason: last?.reason ?? reason, message: last?.message ?? message };
}
