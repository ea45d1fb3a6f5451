import type { DatabaseSync } from "node:sqlite";
import { sql } from "kysely";
import { Migrator } from "kysely/migration";
import { StoreError } from "../../errors.ts";
import { migrationsFor } from "../migrations.ts";
import { onlyAppendedInSqlite } from "../trail-tables.ts";
import { beginWriting, type Waiting } from "./begin-writing.ts";
import type { Connection } from "./connection.ts";
import { notAStore } from "./store-errors.ts";

/** "Sprt" in ASCII: marks a database file as a store of ours. */
const APPLICATION_ID = 0x53707274;

/** Checks that the file is ours, or empty, and brings its tables up to date. */
export async function makeReady(
  { raw, queries }: Connection,
  location: string,
  waiting: Waiting,
): Promise<void> {
  const migrator = new Migrator({
    db: queries,
    provider: migrationsFor({
      wholeNumber: sql`integer`,
      number: sql`real`,
      tableEnd: sql`strict`,
      keyedTableEnd: sql`strict, without rowid`,
      onlyAppended: onlyAppendedInSqlite,
    }),
    migrationTableName: "migration",
    migrationLockTableName: "migration_lock",
  });
  // In one statement: between two, another process may have made the tables.
  const { application, tables } =
    raw
      .prepare(
        `SELECT (SELECT application_id FROM pragma_application_id) AS application,
                (SELECT count(*) FROM sqlite_schema) AS tables`,
      )
      .get() ?? {};
  if (Number(application) === APPLICATION_ID) {
    // Without a lock, so that a store can be read while another process writes it.
    const steps = await migrator.getMigrations();
    if (steps.every(({ executedAt }) => executedAt !== undefined))
      return refuseNewer(raw, steps.length, location);
  } else if (Number(tables) > 0) {
    throw new StoreError("not-a-store", notAStore(location));
  }

  // WAL lets pages be read while a file is taken in.
  raw.exec("PRAGMA journal_mode = WAL");
  // One transaction, so that of two processes that open a new store only one makes the tables.
  await beginWriting(raw, waiting);
  try {
    const { error } = await migrator.migrateToLatest();
    if (error !== undefined) throw error;
    raw.exec(`PRAGMA application_id = ${APPLICATION_ID}`);
    raw.exec("COMMIT");
  } catch (error) {
    // A full disk ends the transaction by itself.
    if (raw.isTransaction) raw.exec("ROLLBACK");
    throw error;
  }
}

function refuseNewer(raw: DatabaseSync, known: number, location: string): void {
  const { n } = raw.prepare("SELECT count(*) AS n FROM migration").get() ?? {};
  if (Number(n) <= known) return;
  throw new StoreError(
    "store-newer",
    `The store ${location} was made by a newer version of Springtide: use that version, or another store.`,
  );
}
