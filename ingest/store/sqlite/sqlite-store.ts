import { existsSync, statSync } from "node:fs";
import { dirname } from "node:path";
import type { Kysely } from "kysely";
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
import { beginWriting, type Waiting } from "./begin-writing.ts";
import { type Connection, connect } from "./connection.ts";
import { makeReady } from "./make-ready.ts";
import { readColumns } from "./read-columns.ts";
import { SqliteHeld } from "./sqlite-held.ts";
import { SqliteIntake } from "./sqlite-intake.ts";
import type { RowsSetting } from "./sqlite-rows.ts";
import { notAStore, plainStoreError } from "./store-errors.ts";

/** How a database file is opened. */
interface SqliteOptions {
  readonly create: boolean;
  readonly waiting: Waiting;
}

/**
 * Opens (and where allowed makes) the store in a database file.
 *
 * @throws {StoreError} "no-store", "not-a-store", "store-locked", "store-unreadable", "store-newer".
 */
export async function openSqliteStore(
  file: string,
  location: string,
  { create, waiting }: SqliteOptions,
): Promise<Store> {
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
    await makeReady(writer, location, waiting);
    const reader = connect(file);
    opened.push(reader);
    return new SqliteStore(location, writer, reader, waiting);
  } catch (error) {
    for (const connection of opened) connection.raw.close();
    throw plainStoreError(error, location);
  }
}

class SqliteStore implements Store {
  readonly location: string;
  readonly held: SqliteHeld;
  readonly #writer: Connection;
  readonly #reader: Connection;
  readonly #waiting: Waiting;
  /** Ends when the intake before has ended: one file at a time within a process. */
  #turn: Promise<void> = Promise.resolve();

  constructor(location: string, writer: Connection, reader: Connection, waiting: Waiting) {
    this.location = location;
    this.#writer = writer;
    this.#reader = reader;
    this.#waiting = waiting;
    this.held = new SqliteHeld({
      reads: reader.queries,
      begin: () => this.#begin(),
      write: (change) =>
        this.#write(async (db) => {
          await change(db);
          await countUp(db);
        }),
    });
  }

  async revision(): Promise<number> {
    const row = await this.#db.selectFrom("store_state").select("revision").executeTakeFirstOrThrow();
    return row.revision;
  }

  async beginFile(file: string, takenInAtMs: number): Promise<FileIntake> {
    return new SqliteIntake(await this.#begin(), file, takenInAtMs);
  }

  async rehearse(): Promise<Rehearsal> {
    const { connection, end, location } = await this.#begin();
    const { raw } = connection;
    return {
      beginFile: async (file, takenInAtMs) => {
        raw.exec("SAVEPOINT file");
        const part = {
          keep: () => raw.exec("RELEASE file"),
          drop: () => raw.exec("ROLLBACK TO file; RELEASE file"),
          ended: () => undefined,
        };
        return new SqliteIntake({ connection, location, end: part }, file, takenInAtMs);
      },
      end: async () => {
        end.drop();
        end.ended();
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
      .select([
        "file.file",
        "row.line",
        "row.column",
        "row.part",
        "row.reason",
        "row.message",
        "row.raw",
        "row.instrument",
        "row.site",
      ])
      .where("row.state", "=", "held")
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

  /** A writing transaction, when all before it in this process have ended. */
  async #begin(): Promise<Omit<RowsSetting, "fileId">> {
    const endTurn = await this.#takeTurn();
    const { raw } = this.#writer;
    try {
      await beginWriting(raw, this.#waiting);
    } catch (error) {
      endTurn();
      throw plainStoreError(error, this.location);
    }
    const end = { keep: () => raw.exec("COMMIT"), drop: () => raw.exec("ROLLBACK"), ended: endTurn };
    return { connection: this.#writer, location: this.location, end };
  }

  /** One transaction of its own, between files. */
  async #write<T>(change: (db: Kysely<Tables>) => Promise<T>): Promise<T> {
    const endTurn = await this.#takeTurn();
    const { raw, queries } = this.#writer;
    try {
      await beginWriting(raw, this.#waiting);
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
