import { type Expression, type Kysely, type SqlBool, sql } from "kysely";
import type { HeldCount, HeldCounts, HeldDecision, HeldFilter, HeldRow, KeptWay, Mend } from "./held.ts";
import type { Tables } from "./tables.ts";
import { appendTrail } from "./trail-queries.ts";

/** Held rows as queries that any database behind the store answers. */

/** Decisions are looked up for so many rows at once: well below the number of values that a statement may hold. */
const ROWS_AT_ONCE = 500;

/** The latest first; all of them, or a part. */
export async function selectHeldRows(
  db: Kysely<Tables>,
  filter: HeldFilter & { readonly id?: number },
  part?: { readonly offset: number; readonly limit: number },
): Promise<HeldRow[]> {
  let query = held(db, filter)
    .leftJoin("way_of_reading as way", "way.id", "row.way_id")
    .select([
      "row.id",
      "file.id as fileId",
      "file.file",
      "file.taken_in_at_ms as takenInAtMs",
      "row.line",
      "row.column",
      "row.part",
      "row.reason",
      "row.message",
      "row.raw",
      "row.instrument",
      "row.state",
      "way.way",
      siteOf.as("site"),
    ])
    .orderBy("row.id", "desc");
  if (part !== undefined) query = query.limit(part.limit).offset(part.offset);
  const rows = await query.execute();
  const decisions = await selectDecisions(
    db,
    rows.map(({ id }) => id),
  );
  return rows.map((row) => ({
    ...row,
    way: row.way === null ? null : (JSON.parse(row.way) as KeptWay),
    decisions: decisions.get(row.id) ?? [],
  }));
}

export async function countHeldRows(db: Kysely<Tables>, filter: HeldFilter): Promise<HeldCounts> {
  const by = (name: Expression<string | null>): Promise<HeldCount[]> =>
    held(db, filter)
      .select((of) => [sql<string | null>`${name}`.as("name"), of.fn.countAll<number>().as("rows")])
      .groupBy(sql`1`)
      .orderBy("rows", "desc")
      .orderBy(sql`1`, (order) => order.asc().nullsFirst())
      .execute();
  const [byReason, bySite, byFile] = await Promise.all([
    by(sql<string>`"row".reason`),
    by(siteOf),
    by(sql<string>`file.file`),
  ]);
  return { rows: byReason.reduce((sum, { rows }) => sum + rows, 0), byReason, bySite, byFile };
}

/** Within a writing transaction. */
export async function insertHeldDecision(
  db: Kysely<Tables>,
  rowId: number,
  { madeAtMs, mend, ...decision }: HeldDecision,
): Promise<void> {
  const row = await db
    .selectFrom("quarantined_row")
    .select(["state", "site"])
    .where("id", "=", rowId)
    .executeTakeFirstOrThrow();
  await appendTrail(db, {
    action: "settled-held-row",
    about: `held row ${rowId}`,
    site: row.site,
    before: { state: row.state },
    after: { ...decision, mend: mend === null ? null : { ...mend } },
    atMs: madeAtMs,
  });
  const { last } = await db
    .selectFrom("held_decision")
    .select((of) => of.fn.max("id").as("last"))
    .executeTakeFirstOrThrow();
  await db
    .insertInto("held_decision")
    .values({
      id: Number(last ?? 0) + 1,
      row_id: rowId,
      made_at_ms: madeAtMs,
      mend: mend === null ? null : JSON.stringify(mend),
      ...decision,
    })
    .execute();
  await db.updateTable("quarantined_row").set({ state: decision.outcome }).where("id", "=", rowId).execute();
}

/** The site that the row names, else the one where its unit is registered. */
const siteOf = sql<string | null>`coalesce("row".site, site.name)`;

function held(db: Kysely<Tables>, filter: HeldFilter & { readonly id?: number }) {
  return db
    .selectFrom("quarantined_row as row")
    .innerJoin("file", "file.id", "row.file_id")
    .leftJoin("instrument as unit", "unit.name", "row.instrument")
    .leftJoin("instrument_register as register", "register.instrument_id", "unit.id")
    .leftJoin("site", "site.id", "register.site_id")
    .where((of) => of.and(conditions(filter)));
}

function conditions({
  id,
  state,
  site,
  sites,
  file,
  reason,
  instrument,
}: HeldFilter & { readonly id?: number }): Expression<SqlBool>[] {
  const given: [Expression<unknown>, string | number | undefined][] = [
    [sql`"row".id`, id],
    [sql`"row".state`, state],
    [siteOf, site],
    [sql`file.file`, file],
    [sql`"row".reason`, reason],
    [sql`"row".instrument`, instrument],
  ];
  const isAmong =
    sites === undefined
      ? []
      : [sites.length === 0 ? sql<SqlBool>`1 = 0` : sql<SqlBool>`${siteOf} IN (${sql.join(sites)})`];
  return [
    ...isAmong,
    ...given.flatMap(([column, value]) => (value === undefined ? [] : [sql<SqlBool>`${column} = ${value}`])),
  ];
}

async function selectDecisions(
  db: Kysely<Tables>,
  rowIds: readonly number[],
): Promise<Map<number, HeldDecision[]>> {
  const byRow = new Map<number, HeldDecision[]>();
  for (let start = 0; start < rowIds.length; start += ROWS_AT_ONCE) {
    const rows = await db
      .selectFrom("held_decision")
      .select([
        "row_id as rowId",
        "action",
        "made_at_ms as madeAtMs",
        "by",
        "why",
        "mend",
        "outcome",
        "reason",
        "message",
        "replaced",
      ])
      .where("row_id", "in", rowIds.slice(start, start + ROWS_AT_ONCE))
      .orderBy("id")
      .execute();
    for (const { rowId, mend, ...decision } of rows) {
      const ofRow = byRow.get(rowId) ?? [];
      ofRow.push({ ...decision, mend: mend === null ? null : (JSON.parse(mend) as Mend) });
      byRow.set(rowId, ofRow);
    }
  }
  return byRow;
}
