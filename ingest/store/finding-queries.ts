import type { Kysely } from "kysely";
import type { FindingDecision, OutFinding } from "./findings.ts";
import type { ResultRecord } from "./store.ts";
import type { Tables } from "./tables.ts";
import { appendTrail, siteOf } from "./trail-queries.ts";

/** Results and findings as queries that any database behind the store answers. */

export function selectResults(
  db: Kysely<Tables>,
  instrument: string,
  fromMs: number,
  untilMs: number,
): Promise<ResultRecord[]> {
  return db
    .selectFrom("result as row")
    .innerJoin("instrument", "instrument.id", "row.instrument_id")
    .select([
      "instrument.name as instrument",
      "row.measured_at_ms as measuredAtMs",
      "row.sample",
      "row.viscosity_mpas as viscosityMPaS",
      "row.torque_percent as torquePercent",
    ])
    .where("instrument.name", "=", instrument)
    .where("row.measured_at_ms", ">=", fromMs)
    .where("row.measured_at_ms", "<=", untilMs)
    .orderBy("row.measured_at_ms")
    .orderBy("row.sample")
    .execute();
}

/** Oldest first. */
export async function selectFindings(db: Kysely<Tables>): Promise<OutFinding[]> {
  const findings = await db
    .selectFrom("finding as row")
    .innerJoin("instrument", "instrument.id", "row.instrument_id")
    .select([
      "row.id",
      "instrument.name as instrument",
      "row.found_on as foundOn",
      "row.opened_at_ms as openedAtMs",
      "row.by",
      "row.why",
      "row.window",
    ])
    .orderBy("row.id")
    .execute();
  const decisions = await db
    .selectFrom("finding_decision")
    .select(["finding_id as findingId", "decided_at_ms as decidedAtMs", "by", "decision", "why"])
    .orderBy("id")
    .execute();
  const byFinding = Map.groupBy(decisions, ({ findingId }) => findingId);
  return findings.map((finding) => ({
    ...finding,
    decisions: (byFinding.get(finding.id) ?? []).map(({ findingId: _, ...decision }) => decision),
  }));
}

/** Within a writing transaction. @returns Its number. */
export async function insertFinding(
  db: Kysely<Tables>,
  finding: Omit<OutFinding, "id" | "decisions">,
): Promise<number> {
  const id = await nextId(db, "finding");
  const { instrument, openedAtMs, ...after } = finding;
  await appendTrail(db, {
    action: "opened-finding",
    about: instrument,
    site: await siteOf(db, instrument),
    after: { id, ...after },
    atMs: openedAtMs,
  });
  const { id: instrumentId } = await db
    .selectFrom("instrument")
    .select("id")
    .where("name", "=", finding.instrument)
    .executeTakeFirstOrThrow();
  await db
    .insertInto("finding")
    .values({
      id,
      instrument_id: instrumentId,
      found_on: finding.foundOn,
      opened_at_ms: finding.openedAtMs,
      by: finding.by,
      why: finding.why,
      window: finding.window,
    })
    .execute();
  return id;
}

/** Within a writing transaction. */
export async function insertFindingDecision(
  db: Kysely<Tables>,
  findingId: number,
  decision: FindingDecision,
): Promise<void> {
  const { decidedAtMs, ...after } = decision;
  const { instrument } = await db
    .selectFrom("finding")
    .innerJoin("instrument", "instrument.id", "instrument_id")
    .select("instrument.name as instrument")
    .where("finding.id", "=", findingId)
    .executeTakeFirstOrThrow();
  await appendTrail(db, {
    action: "decided-finding",
    about: instrument,
    site: await siteOf(db, instrument),
    after: { finding: findingId, ...after },
    atMs: decidedAtMs,
  });
  await db
    .insertInto("finding_decision")
    .values({
      id: await nextId(db, "finding_decision"),
      finding_id: findingId,
      decided_at_ms: decision.decidedAtMs,
      by: decision.by,
      decision: decision.decision,
      why: decision.why,
    })
    .execute();
}

async function nextId(db: Kysely<Tables>, table: "finding" | "finding_decision"): Promise<number> {
  const { last } = await db
    .selectFrom(table)
    .select((of) => of.fn.max("id").as("last"))
    .executeTakeFirstOrThrow();
  return Number(last ?? 0) + 1;
}
