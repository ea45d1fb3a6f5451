import { type Kysely, sql } from "kysely";
import { FINDING_DECISIONS, type FindingDecisionKind } from "./findings.ts";
import type { Dialect } from "./migrations.ts";

/** Results measured with the units, and what was recorded where one was found out of tolerance. */
export interface FindingTables {
  readonly result: ResultRow;
  readonly finding: FindingRow;
  readonly finding_decision: FindingDecisionRow;
}

interface ResultRow {
  readonly instrument_id: number;
  readonly measured_at_ms: number;
  readonly sample: string;
  readonly viscosity_mpas: number | null;
  readonly torque_percent: number | null;
}

interface FindingRow {
  readonly id: number;
  readonly instrument_id: number;
  readonly found_on: string;
  readonly opened_at_ms: number;
  readonly by: string;
  readonly why: string;
  readonly window: string;
}

interface FindingDecisionRow {
  readonly id: number;
  readonly finding_id: number;
  readonly decided_at_ms: number;
  readonly by: string;
  readonly decision: FindingDecisionKind;
  readonly why: string;
}

export async function createFindingTables(db: Kysely<unknown>, dialect: Dialect): Promise<void> {
  const { wholeNumber, number, tableEnd, keyedTableEnd } = dialect;
  const create = (name: string, end = tableEnd) => db.schema.createTable(name).modifyEnd(end);

  await create("result", keyedTableEnd)
    .addColumn("instrument_id", wholeNumber, (column) => column.notNull().references("instrument.id"))
    .addColumn("measured_at_ms", wholeNumber, (column) => column.notNull())
    .addColumn("sample", "text", (column) => column.notNull())
    .addColumn("viscosity_mpas", number, (column) => column.check(sql`viscosity_mpas >= 0`))
    .addColumn("torque_percent", number, (column) => column.check(sql`torque_percent >= 0`))
    .addPrimaryKeyConstraint("result_key", ["instrument_id", "measured_at_ms", "sample"])
    .execute();

  await create("finding")
    .addColumn("id", wholeNumber, (column) => column.primaryKey())
    .addColumn("instrument_id", wholeNumber, (column) => column.notNull().references("instrument.id"))
    .addColumn("found_on", "text", (column) => column.notNull().check(sql`length(found_on) = 10`))
    .addColumn("opened_at_ms", wholeNumber, (column) => column.notNull())
    .addColumn("by", "text", (column) => column.notNull().check(sql`"by" <> ''`))
    .addColumn("why", "text", (column) => column.notNull().check(sql`why <> ''`))
    .addColumn("window", "text", (column) => column.notNull())
    .execute();

  await create("finding_decision")
    .addColumn("id", wholeNumber, (column) => column.primaryKey())
    .addColumn("finding_id", wholeNumber, (column) => column.notNull().references("finding.id"))
    .addColumn("decided_at_ms", wholeNumber, (column) => column.notNull())
    .addColumn("by", "text", (column) => column.notNull().check(sql`"by" <> ''`))
    .addColumn("decision", "text", (column) =>
      column
        .notNull()
        .check(sql<boolean>`decision IN (${sql.join(FINDING_DECISIONS.map((word) => sql.lit(word)))})`),
    )
    .addColumn("why", "text", (column) => column.notNull().check(sql`why <> ''`))
    .execute();
}
