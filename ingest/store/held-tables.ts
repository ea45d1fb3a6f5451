import { type Kysely, sql } from "kysely";
import { HELD_ACTIONS, HELD_STATES, type HeldAction, type HeldState } from "./held.ts";
import type { Dialect } from "./migrations.ts";
import type { Reason } from "./store.ts";

/** How held rows were read, and what was done about them. */
export interface HeldTables {
  readonly way_of_reading: WayRow;
  readonly held_decision: HeldDecisionRow;
}

/** What quarantined_row has gained since the first tables. */
export interface HeldColumns {
  readonly way_id: number | null;
  readonly instrument: string | null;
  readonly site: string | null;
  readonly state: HeldState;
}

interface WayRow {
  readonly id: number;
  readonly way: string;
}

interface HeldDecisionRow {
  readonly id: number;
  readonly row_id: number;
  readonly made_at_ms: number;
  readonly action: HeldAction;
  readonly by: string | null;
  readonly why: string | null;
  readonly mend: string | null;
  readonly outcome: HeldState;
  readonly reason: Reason | null;
  readonly message: string | null;
  readonly replaced: string | null;
}

export async function createHeldTables(db: Kysely<unknown>, dialect: Dialect): Promise<void> {
  const { wholeNumber, tableEnd } = dialect;
  await db.schema
    .createTable("way_of_reading")
    .addColumn("id", wholeNumber, (column) => column.primaryKey())
    .addColumn("way", "text", (column) => column.notNull().unique())
    .modifyEnd(tableEnd)
    .execute();

  const alter = () => db.schema.alterTable("quarantined_row");
  await alter()
    .addColumn("way_id", wholeNumber, (column) => column.references("way_of_reading.id"))
    .execute();
  await alter().addColumn("instrument", "text").execute();
  await alter().addColumn("site", "text").execute();
  await alter()
    .addColumn("state", "text", (column) =>
      column.notNull().defaultTo("held").check(oneOf("state", HELD_STATES)),
    )
    .execute();
  await db.schema
    .createIndex("quarantined_row_open")
    .on("quarantined_row")
    .columns(["line", "id"])
    .where(sql<boolean>`state = 'held'`)
    .execute();

  await db.schema
    .createTable("held_decision")
    .addColumn("id", wholeNumber, (column) => column.primaryKey())
    .addColumn("row_id", wholeNumber, (column) => column.notNull().references("quarantined_row.id"))
    .addColumn("made_at_ms", wholeNumber, (column) => column.notNull())
    .addColumn("action", "text", (column) => column.notNull().check(oneOf("action", HELD_ACTIONS)))
    .addColumn("by", "text", (column) => column.check(sql`"by" <> ''`))
    .addColumn("why", "text", (column) => column.check(sql`why <> ''`))
    .addColumn("mend", "text")
    .addColumn("outcome", "text", (column) => column.notNull().check(oneOf("outcome", HELD_STATES)))
    .addColumn("reason", "text")
    .addColumn("message", "text")
    .addColumn("replaced", "text")
    .addCheckConstraint(
      "people_have_names",
      sql`action = 'sent-again' OR ("by" IS NOT NULL AND why IS NOT NULL)`,
    )
    .modifyEnd(tableEnd)
    .execute();
  await db.schema.createIndex("held_decision_by_row").on("held_decision").columns(["row_id", "id"]).execute();
}

function oneOf(column: string, words: readonly string[]) {
  return sql<boolean>`${sql.ref(column)} IN (${sql.join(words.map((word) => sql.lit(word)))})`;
}
