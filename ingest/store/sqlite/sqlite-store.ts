import { existsSync, statSync } from "node:fs";
import { dirname } from "node:path";
import type { DatabaseSync } from "node:sqlite";
import { type Kysely, sql } from "kysely";
import { Migrator } from "kysely/migration";
import { StoreError } from "../../errors.ts";
import { insertFinding, insertFindingDecision, selectFindings, selectResults } from "../finding-queries.ts";
import type { FindingDecision, OutFinding } from "../findings.ts";
import type { FrozenLimit, Judgement, KeptFigures, KeptRecord, SettingsChange } from "../kept.ts";
import {
  insertFigures,
  insertFrozenLimits,
  insertJudgement,
  insertRecord,
  insertSettingsChange,
  selectFigures,
  selectFrozenLimits,
  selectJudgements,
  selectRecord,
  selectSettingsChanges,
} from "../kept-queries.ts";
import { migrationsFor } from "../migrations.ts";
import { selectFluids, selectGeometries, selectInstruments, selectServices } from "../register-queries.ts";
import type {
  FileIntake,
  FileRecord,
  QuarantinedRow,
  RangeUse,
  ReadingColumns,
  Rehearsal,
  ResultRecord,
  Store,
} from "../store.ts";
import type { Tables } from "../tables.ts";
import { type Connection, connect } from "./connection.ts";
import { readColumns } from "./read-columns.ts";
import { SqliteIntake } from "./sqlite-intake.ts";
import { notAStore, plainStoreError } from "./store-errors.ts";

/** "Sprt" in ASCII: marks a database file as a store of ours. */
const APPLICATION_ID = 0x53707274;

/**
 * Opens (and where allowed makes) the store in a database file.
 *
 * @throws {StoreError} "no-store", "not-a-store", "store-locked", "store-unreadable", "store-newer".
 */
export async function openSqliteStore(file: string, location: string, create: boolean): Promise<Store> {
  if (!existsSync(file)) {
    if (!create)
      throw new StoreError("no-store", `There is no store at ${location} yet: ingest some files first.`);
    if (!existsSync(dirname(file))) {
      throw new StoreError(
        "store-unreadable",
        `The folder ${dirname(file)} for the store ${location} does not exist.`,
      );
    }
  } else if (!statSync(file).isFile()) {
    throw new StoreError("not-a-store", notAStore(location));
  }

  const opened: Connection[] = [];
  try {
    const writer = connect(file);
    opened.push(writer);
    await makeReady(writer, location);
    const reader = connect(file);
    opened.push(reader);
    return new SqliteStore(location, writer, reader);
  } catch (error) {
    for (const connection of opened) connection.raw.close();
    throw plainStoreError(error, location);
  }
}

/** Checks that the file is ours, or empty, and brings its tables up to date. */
async function makeReady({ raw, queries }: Connection, location: string): Promise<void> {
  const migrator = new Migrator({
    db: queries,
    provider: migrationsFor({
      wholeNumber: sql`integer`,
      number: sql`real`,
      tableEnd: sql`strict`,
      keyedTableEnd: sql`strict, without rowid`,
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
  raw.exec("BEGIN IMMEDIATE");
  try {
    const { error } = await migrator.migrateToLatest();
    if (error !== undefined) throw error;
    raw.exec(`PRAGMA application_id = ${APPLICATION_ID}`);
    raw.exec("COMMIT");
  } catch (error) {
    raw.exec("ROLLBACK");
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

class SqliteStore implements Store {
  readonly location: string;
  readonly #writer: Connection;
  readonly #reader: Connection;
  /** Ends when the intake before has ended: one file at a time within a process. */
  #turn: Promise<void> = Promise.resolve();

  constructor(location: string, writer: Connection, reader: Connection) {
    this.location = location;
    this.#writer = writer;
    this.#reader = reader;
  }

  async revision(): Promise<number> {
    const row = await this.#db.selectFrom("store_state").select("revision").executeTakeFirstOrThrow();
    return row.revision;
  }

  async beginFile(file: string, takenInAtMs: number): Promise<FileIntake> {
    const endTurn = await this.#takeTurn();
    try {
      this.#writer.raw.exec("BEGIN IMMEDIATE");
      return new SqliteIntake(this.#writer, this.location, file, takenInAtMs, {
        keep: () => this.#writer.raw.exec("COMMIT"),
        drop: () => this.#writer.raw.exec("ROLLBACK"),
        ended: endTurn,
      });
    } catch (error) {
      endTurn();
      throw plainStoreError(error, this.location);
    }
  }

  async rehearse(): Promise<Rehearsal> {
    const endTurn = await this.#takeTurn();
    const { raw } = this.#writer;
    try {
      raw.exec("BEGIN IMMEDIATE");
    } catch (error) {
      endTurn();
      throw plainStoreError(error, this.location);
    }
    return {
      beginFile: async (file, takenInAtMs) => {
        raw.exec("SAVEPOINT file");
        return new SqliteIntake(this.#writer, this.location, file, takenInAtMs, {
          keep: () => raw.exec("RELEASE file"),
          drop: () => raw.exec("ROLLBACK TO file; RELEASE file"),
          ended: () => undefined,
        });
      },
      end: async () => {
        raw.exec("ROLLBACK");
        endTurn();
      },
    };
  }

  async fileTakenIn(sha256: string, profileSha256: string): Promise<FileRecord | null> {
    const row = await this.#files()
      .where("sha256", "=", sha256)
      .where("profile_sha256", "=", profileSha256)
      .orderBy("id", "desc")
      .executeTakeFirst();
    return row ?? null;
  }

  async rangeUses(instrument: string): Promise<RangeUse[]> {
    // Rounding joins what is printed with few digits; what is still nearly equal is joined by the caller.
    const rows = this.#reader.raw
      .prepare(
        `SELECT geometry.name AS geometry, avg(speed_rpm * full_scale_range_mpas) AS constant,
                count(DISTINCT checked_at_ms) AS checks
         FROM reading LEFT JOIN geometry ON geometry.id = geometry_id
         WHERE instrument_id = (SELECT id FROM instrument WHERE name = ?)
         GROUP BY geometry_id, round(ln(speed_rpm * full_scale_range_mpas), 4)`,
      )
      .all(instrument);
    return rows as unknown as RangeUse[];
  }

  instruments() {
    return selectInstruments(this.#db);
  }

  services() {
    return selectServices(this.#db);
  }

  fluids() {
    return selectFluids(this.#db);
  }

  geometries() {
    return selectGeometries(this.#db);
  }

  async readings(
    filter: { readonly instrument?: string; readonly untilMs?: number } = {},
  ): Promise<ReadingColumns> {
    return readColumns(this.#reader.raw, filter);
  }

  files(): Promise<FileRecord[]> {
    return this.#files().orderBy("id").execute();
  }

  quarantined(): Promise<(QuarantinedRow & { readonly file: string })[]> {
    return this.#db
      .selectFrom("quarantined_row as row")
      .innerJoin("file", "file.id", "row.file_id")
      .select(["file.file", "row.line", "row.column", "row.part", "row.reason", "row.message", "row.raw"])
      .orderBy("row.id")
      .execute();
  }

  results(instrument: string, fromMs: number, untilMs: number): Promise<ResultRecord[]> {
    return selectResults(this.#db, instrument, fromMs, untilMs);
  }

  findings(): Promise<OutFinding[]> {
    return selectFindings(this.#db);
  }

  openFinding(finding: Omit<OutFinding, "id" | "decisions">): Promise<number> {
    return this.#write(async (db) => {
      const id = await insertFinding(db, finding);
      await countUp(db);
      return id;
    });
  }

  async decideFinding(id: number, decision: FindingDecision): Promise<void> {
    await this.#write(async (db) => {
      await insertFindingDecision(db, id, decision);
      await countUp(db);
    });
  }

  figures(asOf: string, basis: string): Promise<KeptFigures | null> {
    return selectFigures(this.#db, asOf, basis);
  }

  async keepFigures(figures: KeptFigures): Promise<void> {
    await this.#write((db) => insertFigures(db, figures));
  }

  record(asOf: string, basis: string): Promise<KeptRecord | null> {
    return selectRecord(this.#db, asOf, basis);
  }

  async keepRecord(record: KeptRecord): Promise<void> {
    await this.#write((db) => insertRecord(db, record));
  }

  frozenLimits(instrument?: string): Promise<FrozenLimit[]> {
    return selectFrozenLimits(this.#db, instrument);
  }

  async keepLimits(limits: readonly FrozenLimit[]): Promise<void> {
    if (limits.length > 0) await this.#write((db) => insertFrozenLimits(db, limits));
  }

  settingsChanges(): Promise<SettingsChange[]> {
    return selectSettingsChanges(this.#db);
  }

  async changeSettings(change: SettingsChange): Promise<void> {
    await this.#write(async (db) => {
      await insertSettingsChange(db, change);
      await countUp(db);
    });
  }

  judgements(): Promise<Judgement[]> {
    return selectJudgements(this.#db);
  }

  addJudgement(judgement: Omit<Judgement, "id">): Promise<number> {
    return this.#write(async (db) => {
      const id = await insertJudgement(db, judgement);
      await countUp(db);
      return id;
    });
  }

  async close(): Promise<void> {
    await this.#turn;
    for (const { raw } of [this.#reader, this.#writer]) if (raw.isOpen) raw.close();
  }

  get #db(): Kysely<Tables> {
    return this.#reader.queries;
  }

  #files() {
    return this.#db
      .selectFrom("file")
      .select([
        "id as fileId",
        "file",
        "kind",
        "sha256",
        "profile_sha256 as profileSha256",
        "taken_in_at_ms as takenInAtMs",
        "rows",
        "accepted",
        "repeated",
        "quarantined",
        "flagged",
      ]);
  }

  /** One transaction of its own, between files. */
  async #write<T>(change: (db: Kysely<Tables>) => Promise<T>): Promise<T> {
    const endTurn = await this.#takeTurn();
    const { raw, queries } = this.#writer;
    try {
      raw.exec("BEGIN IMMEDIATE");
      try {
        const result = await change(queries);
        raw.exec("COMMIT");
        return result;
      } catch (error) {
        raw.exec("ROLLBACK");
        throw error;
      }
    } catch (error) {
      throw plainStoreError(error, this.location);
    } finally {
      endTurn();
    }
  }

  async #takeTurn(): Promise<() => void> {
    const before = this.#turn;
    const { promise, resolve } = Promise.withResolvers<void>();
    this.#turn = promise;
    await before;
    return resolve;
  }
}

async function countUp(db: Kysely<Tables>): Promise<void> {
  await db
    .updateTable("store_state")
    .set((of) => ({ revision: of("revision", "+", 1) }))
    .execute();
}
