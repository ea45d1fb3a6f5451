import { existsSync, statSync } from "node:fs";
import { dirname } from "node:path";
import type { StatementSync } from "node:sqlite";
import type { Kysely } from "kysely";
import { StoreError } from "../../errors.ts";
import type { Rereading } from "../held.ts";
import { QueriedStore } from "../queried-store.ts";
import type { FileIntake, RangeUse, ReadingColumns, ReadingFilter, Rehearsal, Store } from "../store.ts";
import type { Tables } from "../tables.ts";
import { Turns } from "../turns.ts";
import { beginWriting, type Waiting } from "./begin-writing.ts";
import { type Connection, connect } from "./connection.ts";
import { makeReady } from "./make-ready.ts";
import { readColumns } from "./read-columns.ts";
import { SqliteContents } from "./sqlite-contents.ts";
import { SqliteIntake } from "./sqlite-intake.ts";
import { beginRereading } from "./sqlite-rereading.ts";
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

class SqliteStore extends QueriedStore implements Store {
  readonly location: string;
  readonly shown: string;
  readonly contents = new SqliteContents({
    shown: () => this.shown,
    reader: () => this.#reader.raw,
    write: (work) => this.#fill(work),
  });
  readonly #writer: Connection;
  readonly #reader: Connection;
  readonly #waiting: Waiting;
  #rangeUses: StatementSync | null = null;
  /** One file at a time within a process. */
  readonly #turns = new Turns();

  constructor(location: string, writer: Connection, reader: Connection, waiting: Waiting) {
    super();
    this.location = location;
    this.shown = location;
    this.#writer = writer;
    this.#reader = reader;
    this.#waiting = waiting;
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

  async rangeUses(instrument: string): Promise<RangeUse[]> {
    // Rounding joins what is printed with few digits; what is still nearly equal is joined by the caller.
    this.#rangeUses ??= this.#reader.raw.prepare(
      `SELECT geometry.name AS geometry, avg(speed_rpm * full_scale_range_mpas) AS constant,
              count(DISTINCT checked_at_ms) AS checks
       FROM reading LEFT JOIN geometry ON geometry.id = geometry_id
       WHERE instrument_id = (SELECT id FROM instrument WHERE name = ?)
       GROUP BY geometry_id, round(ln(speed_rpm * full_scale_range_mpas), 4)`,
    );
    return this.#rangeUses.all(instrument) as unknown as RangeUse[];
  }

  async readings(filter: ReadingFilter = {}): Promise<ReadingColumns> {
    return readColumns(this.#reader.raw, filter);
  }

  async close(): Promise<void> {
    const endTurn = await this.#turns.take();
    for (const { raw } of [this.#reader, this.#writer]) if (raw.isOpen) raw.close();
    endTurn();
  }

  protected async beginRereading(id: number, { replace }: { readonly replace: boolean }): Promise<Rereading> {
    return beginRereading(await this.#begin(), id, replace);
  }

  protected get reads(): Kysely<Tables> {
    return this.#reader.queries;
  }

  protected async write<T>(change: (db: Kysely<Tables>) => Promise<T>): Promise<T> {
    const endTurn = await this.#turns.take();
    const { raw, queries } = this.#writer;
    try {
      await beginWriting(raw, this.#waiting);
      try {
        const result = await change(queries);
        raw.exec("COMMIT");
        return result;
      } catch (error) {
        // A full disk ends the transaction by itself.
        if (raw.isTransaction) raw.exec("ROLLBACK");
        throw error;
      }
    } catch (error) {
      throw plainStoreError(error, this.location);
    } finally {
      endTurn();
    }
  }

  /** A transaction in which rows point to each other only at its end. */
  async #fill(work: (connection: Connection) => Promise<void>): Promise<void> {
    const { connection, end } = await this.#begin();
    try {
      await work(connection);
      end.keep();
    } catch (error) {
      if (connection.raw.isTransaction) end.drop();
      throw plainStoreError(error, this.location);
    } finally {
      end.ended();
    }
  }

  /** A writing transaction, when all before it in this process have ended. */
  async #begin(): Promise<Omit<RowsSetting, "fileId">> {
    const endTurn = await this.#turns.take();
    const { raw } = this.#writer;
    // Rows are written with numbers that `Names` has just found or made: looking them up again takes a quarter of an
    // intake's time. The tests ask SQLite itself whether all of them are there.
    raw.exec("PRAGMA foreign_keys = OFF");
    const ended = () => {
      raw.exec("PRAGMA foreign_keys = ON");
      endTurn();
    };
    try {
      await beginWriting(raw, this.#waiting);
    } catch (error) {
      ended();
      throw plainStoreError(error, this.location);
    }
    const end = { keep: () => raw.exec("COMMIT"), drop: () => raw.exec("ROLLBACK"), ended };
    return { connection: this.#writer, location: this.location, end };
  }
}
