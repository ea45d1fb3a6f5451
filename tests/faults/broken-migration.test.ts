import assert from "node:assert/strict";
import { execFile } from "node:child_process";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { DatabaseSync } from "node:sqlite";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";
import { Kysely, PostgresDialect, type RawBuilder, SqliteDialect, sql } from "kysely";
import { Migrator } from "kysely/migration";
import pg from "pg";
import { describe, it } from "vitest";
import { openStore, proveTrail, type Store } from "../../ingest/index.ts";
import { type Dialect, migrationsFor } from "../../ingest/store/migrations.ts";
import { contents, ingest, NOW, scratchFolder, writeFiles } from "../ingest/support/scratch.ts";
import { scratchDatabase } from "../support/scratch-database.ts";

const OPENING = fileURLToPath(new URL("./opening-process.ts", import.meta.url));
/** The last step of stores that were made before there were accounts and a trail. */
const OLD_STEP = "008-baseline-judgements";
const OLD_ROWS = [
  "INSERT INTO instrument (id, name) VALUES (1, 'U-1')",
  `INSERT INTO file (id, file, kind, sha256, profile_sha256, taken_in_at_ms, "rows", accepted, repeated, quarantined, flagged)
   VALUES (1, 'a.csv', 'readings', '${"a".repeat(64)}', '', ${NOW}, 1, 1, 0, 0, 0)`,
  `INSERT INTO reading (instrument_id, checked_at_ms, speed_rpm, reading_mpas, fluid_value_mpas, full_scale_range_mpas, stage, flags, file_id, line)
   VALUES (1, ${NOW}, 10, 99, 100, 1000, 0, 0, 1, 2)`,
  "INSERT INTO settings_change (id, set_at_ms, by, settings) VALUES (1, 5, 'Ada', '{}')",
];

/** Runs the opening. @returns What it said; null where it was killed. */
async function open(url: string, last: number): Promise<number | null> {
  try {
    const env = { ...process.env, NODE_COMPILE_CACHE: join(tmpdir(), "springtide-compile-cache") };
    const { stdout } = await promisify(execFile)(process.execPath, [OPENING, url, String(last)], { env });
    return Number(stdout);
  } catch (error) {
    assert.equal((error as { signal: string }).signal, "SIGKILL", String(error));
    return null;
  }
}

async function migrate(db: Kysely<unknown>, dialect: Dialect, schema: string | undefined): Promise<void> {
  const migrator = new Migrator({
    db,
    provider: migrationsFor(dialect),
    migrationTableName: "migration",
    migrationLockTableName: "migration_lock",
    ...(schema !== undefined && { migrationTableSchema: schema }),
  });
  const { error } = await migrator.migrateTo(OLD_STEP);
  if (error !== undefined) throw error;
  for (const row of OLD_ROWS) await sql.raw(row).execute(db);
}

const plain = (words: string): RawBuilder<unknown> => sql.raw(words);

/** A store as an earlier version left it. */
async function oldFile(url: string): Promise<void> {
  const raw = new DatabaseSync(url.slice("sqlite:".length));
  raw.exec(`PRAGMA journal_mode = WAL; PRAGMA application_id = ${0x53707274}`);
  const database = {
    close: () => undefined,
    prepare: (text: string) => {
      const statement = raw.prepare(text);
      return {
        reader: statement.columns().length > 0,
        all: (values: readonly unknown[]) => statement.all(...(values as string[])),
        run: (values: readonly unknown[]) => statement.run(...(values as string[])),
        iterate: (values: readonly unknown[]) => statement.iterate(...(values as string[])),
      };
    },
  };
  await migrate(
    new Kysely({ dialect: new SqliteDialect({ database }) }),
    {
      wholeNumber: plain("integer"),
      number: plain("real"),
      tableEnd: plain("strict"),
      keyedTableEnd: plain("strict, without rowid"),
      onlyAppended: () => [],
    },
    undefined,
  );
  raw.close();
}

async function oldDatabase(url: string): Promise<void> {
  const pool = new pg.Pool({ connectionString: url, options: "-c search_path=springtide" });
  await pool.query("CREATE SCHEMA springtide");
  await migrate(
    new Kysely({ dialect: new PostgresDialect({ pool }) }),
    {
      wholeNumber: plain("bigint"),
      number: plain("double precision"),
      tableEnd: plain(""),
      keyedTableEnd: plain(""),
      onlyAppended: () => [],
    },
    "springtide",
  );
  await pool.end();
}

const newFile = async () => `sqlite:${join(scratchFolder(), "store.sqlite")}`;

describe.each([
  ["in SQLite", newFile, oldFile],
  ["in PostgreSQL", scratchDatabase, oldDatabase],
] as const)("making a store ready %s, broken off at any statement", (_, newUrl, makeOld) => {
  it.each([
    ["from nothing", false],
    ["from an earlier version", true],
  ] as const)("%s, comes to the same when it is opened again", { timeout: 120_000 }, async (_from, isOld) => {
    const made = async () => {
      const url = await newUrl();
      if (isOld) await makeOld(url);
      return url;
    };
    const whole = (await open(await made(), 0))!;
    assert.ok(whole > 20, `${whole} statements`);
    // On the way, and at each of the last ones.
    const moments = [Math.ceil(0.3 * whole), Math.ceil(0.7 * whole), whole - 3, whole - 2, whole - 1];
    const breakOff = async (last: number) => {
      const url = await made();
      assert.equal(await open(url, last), null, `at ${last} of ${whole}`);
      const store = await openStore(url);
      try {
        await assertReady(store, isOld);
      } finally {
        await store.close();
      }
    };
    await Promise.all(moments.map(breakOff));
  });
});

async function assertReady(store: Store, isOld: boolean): Promise<void> {
  assert.equal((await store.readings()).count, isOld ? 1 : 0);
  assert.equal((await store.settingsChanges()).length, isOld ? 1 : 0);
  await ingest(store, writeFiles({ "units.csv": "instrument,usage,site\nU-1,daily,Quay\nu-2,daily,Quay\n" }));
  assert.deepEqual(
    (await contents(store)).instruments.map(({ instrument }) => instrument),
    ["U-1", "u-2"],
  );
  const [began, ...others] = await store.trail.list({}, { offset: 0, limit: 10 });
  assert.deepEqual([began!.action, others.map(({ action }) => action)], ["began", ["took-in"]]);
  assert.equal((await proveTrail(store.trail)).brokenAt, null);
  if (store.location.startsWith("postgres")) await assertFinished(store.location);
}

/** What follows the last step: texts sort by their bytes, readings point without being checked. */
async function assertFinished(url: string): Promise<void> {
  const client = new pg.Client(url);
  await client.connect();
  try {
    const { rows } = await client.query(
      `SELECT (SELECT count(*)::int FROM pg_constraint WHERE conrelid = 'springtide.reading'::regclass AND contype = 'f') AS checks,
              (SELECT count(*)::int FROM pg_attribute JOIN pg_class ON pg_class.oid = attrelid
               WHERE relnamespace = 'springtide'::regnamespace AND relkind = 'r' AND attnum > 0
                 AND atttypid = 'text'::regtype AND attcollation <> '"C"'::regcollation) AS unsorted`,
    );
    assert.deepEqual(rows, [{ checks: 0, unsorted: 0 }]);
  } finally {
    await client.end();
  }
}
