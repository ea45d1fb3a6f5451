import { sql } from "kysely";
import { Migrator } from "kysely/migration";
import { StoreError } from "../../errors.ts";
import { migrationsFor } from "../migrations.ts";
import { onlyAppendedInPostgres } from "../trail-tables.ts";
import type { PostgresAddress } from "./address.ts";
import { SCHEMA, type Session } from "./session.ts";

/** Any number that nobody else is likely to take: "Sprt" in ASCII. */
const MAKING_READY = 0x53707274;

const dialect = {
  wholeNumber: sql`bigint`,
  number: sql`double precision`,
  tableEnd: sql``,
  keyedTableEnd: sql``,
  onlyAppended: onlyAppendedInPostgres,
};

/**
 * Checks that the database is ours, or empty, and brings its tables up to date.
 *
 * @param create Make the tables where there are none yet.
 * @throws {StoreError} "no-store", "not-a-store", "store-newer".
 */
export async function makeReady(session: Session, address: PostgresAddress, create: boolean): Promise<void> {
  const migrator = new Migrator({
    db: session.queries,
    provider: migrationsFor(dialect),
    migrationTableSchema: SCHEMA,
    migrationTableName: "migration",
    migrationLockTableName: "migration_lock",
  });
  const { ours, others } = await look(session);
  if (!ours && others > 0) throw new StoreError("not-a-store", notAStore(address));
  if (!ours && !create) {
    throw new StoreError("no-store", `There is no store at ${address.shown} yet: ingest some files first.`);
  }
  if (ours) {
    const steps = await migrator.getMigrations();
    if (steps.every(({ executedAt }) => executedAt !== undefined)) {
      await refuseNewer(session, steps.length, address);
      // A process may have ended between the last step and what follows all of them.
      const left = [...(await unsortedTexts(session)), ...(await checksOfReadings(session))];
      if (left.length === 0) return;
    }
  }

  // Of several processes that open a new store one makes the tables. A transaction that is broken off leaves nothing.
  await session.run("SELECT pg_advisory_lock($1)", [MAKING_READY]);
  try {
    await session.run(`CREATE SCHEMA IF NOT EXISTS ${SCHEMA}`);
    const { error } = await migrator.migrateToLatest();
    if (error !== undefined) throw error;
    await sortTextsAsBytes(session);
    await leaveReadingsUnchecked(session);
  } finally {
    await session.run("SELECT pg_advisory_unlock($1)", [MAKING_READY]);
  }
}

/** Whether the tables are there, and how many tables are there besides that are not the job queue's. */
async function look(session: Session): Promise<{ ours: boolean; others: number }> {
  const [found] = await session.all<{ ours: boolean; others: number }>(
    `SELECT to_regclass('${SCHEMA}.migration') IS NOT NULL AND to_regclass('${SCHEMA}.store_state') IS NOT NULL AS ours,
            (SELECT count(*) FROM pg_class JOIN pg_namespace ON pg_namespace.oid = relnamespace
             WHERE relkind IN ('r', 'p') AND nspname NOT IN ('${SCHEMA}', 'pgboss', 'information_schema')
               AND nspname NOT LIKE 'pg\\_%') AS others`,
  );
  return found!;
}

/** Texts sort by their bytes, as in SQLite, in whatever language the database was made. */
async function sortTextsAsBytes(session: Session): Promise<void> {
  const byTable = Map.groupBy(await unsortedTexts(session), ({ table }) => table);
  await session.run("BEGIN");
  try {
    for (const [table, ofTable] of byTable) {
      const changes = ofTable.map(({ column }) => `ALTER COLUMN "${column}" TYPE text COLLATE "C"`);
      await session.run(`ALTER TABLE ${SCHEMA}."${table}" ${changes.join(", ")}`);
    }
    await session.commit();
  } catch (error) {
    await session.rollback();
    throw error;
  }
}

function unsortedTexts(session: Session) {
  return session.all<{ table: string; column: string }>(
    `SELECT relname AS "table", attname AS "column"
     FROM pg_attribute JOIN pg_class ON pg_class.oid = attrelid JOIN pg_namespace ON pg_namespace.oid = relnamespace
     WHERE nspname = '${SCHEMA}' AND relkind IN ('r', 'p') AND attnum > 0 AND NOT attisdropped
       AND atttypid = 'text'::regtype AND attcollation <> '"C"'::regcollation`,
  );
}

/**
 * Readings point to names by numbers that the one transaction which writes has just found or made: having PostgreSQL
 * look each up again took nine tenths of an intake's time. The tests look whether all of them are there.
 */
async function leaveReadingsUnchecked(session: Session): Promise<void> {
  for (const { name } of await checksOfReadings(session)) {
    await session.run(`ALTER TABLE ${SCHEMA}.reading DROP CONSTRAINT IF EXISTS "${name}"`);
  }
}

function checksOfReadings(session: Session) {
  return session.all<{ name: string }>(
    `SELECT conname AS name FROM pg_constraint WHERE conrelid = '${SCHEMA}.reading'::regclass AND contype = 'f'`,
  );
}

async function refuseNewer(session: Session, known: number, { shown }: PostgresAddress): Promise<void> {
  const [done] = await session.all<{ n: number }>("SELECT count(*) AS n FROM migration");
  if (done!.n <= known) return;
  throw new StoreError(
    "store-newer",
    `The store ${shown} was made by a newer version of Springtide: use that version, or another store.`,
  );
}

function notAStore({ shown }: PostgresAddress): string {
  return `${shown} holds the tables of something else: name an empty database of its own for the store.`;
}
