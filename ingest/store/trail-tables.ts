import { type Kysely, type RawBuilder, sql } from "kysely";
import type { Dialect } from "./migrations.ts";

export interface TrailTables {
  readonly trail: TrailRow;
}

interface TrailRow {
  readonly number: number;
  readonly at_ms: number;
  readonly who: string;
  readonly way: string;
  readonly action: string;
  readonly about: string;
  readonly site: string | null;
  readonly before: string | null;
  readonly after: string | null;
  readonly previous: string;
  readonly hash: string;
}

export async function createTrailTable(db: Kysely<unknown>, dialect: Dialect): Promise<void> {
  const { wholeNumber, tableEnd } = dialect;
  await db.schema
    .createTable("trail")
    .addColumn("number", wholeNumber, (column) => column.primaryKey().check(sql`number > 0`))
    .addColumn("at_ms", wholeNumber, (column) => column.notNull())
    .addColumn("who", "text", (column) => column.notNull())
    .addColumn("way", "text", (column) => column.notNull())
    .addColumn("action", "text", (column) => column.notNull())
    .addColumn("about", "text", (column) => column.notNull())
    .addColumn("site", "text")
    .addColumn("before", "text")
    .addColumn("after", "text")
    // No two entries follow the same one.
    .addColumn("previous", "text", (column) => column.notNull().unique())
    .addColumn("hash", "text", (column) => column.notNull().unique())
    .modifyEnd(tableEnd)
    .execute();
  for (const statement of dialect.onlyAppended("trail")) await statement.execute(db);
}

/** What makes SQLite refuse to change or remove a table's rows. */
export function onlyAppendedInSqlite(table: string): RawBuilder<unknown>[] {
  return ["UPDATE", "DELETE"].map((change) =>
    sql.raw(
      `CREATE TRIGGER ${table}_no_${change.toLowerCase()} BEFORE ${change} ON ${table}
       BEGIN SELECT RAISE(ABORT, 'entries of the ${table} are never changed or removed'); END`,
    ),
  );
}

/** The same for PostgreSQL. */
export function onlyAppendedInPostgres(table: string): RawBuilder<unknown>[] {
  return [
    sql.raw(
      `CREATE FUNCTION ${table}_only_appended() RETURNS trigger LANGUAGE plpgsql AS
       $$ BEGIN RAISE EXCEPTION 'entries of the ${table} are never changed or removed'; END $$`,
    ),
    sql.raw(
      `CREATE TRIGGER ${table}_only_appended BEFORE UPDATE OR DELETE OR TRUNCATE ON ${table}
       FOR EACH STATEMENT EXECUTE FUNCTION ${table}_only_appended()`,
    ),
  ];
}
