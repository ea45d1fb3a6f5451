import type { Kysely } from "kysely";
import type pg from "pg";
import type { Rereading } from "../held.ts";
import { QueriedStore } from "../queried-store.ts";
import type { FileIntake, RangeUse, ReadingColumns, ReadingFilter, Rehearsal, Store } from "../store.ts";
import type { Tables } from "../tables.ts";
import { Turns } from "../turns.ts";
import { type PostgresAddress, readAddress } from "./address.ts";
import { beginWriting, type Waiting } from "./begin-writing.ts";
import { makeReady } from "./make-ready.ts";
import { PostgresContents } from "./postgres-contents.ts";
import { beginIntake } from "./postgres-intake.ts";
import { beginRereading } from "./postgres-rereading.ts";
import type { RowsSetting } from "./postgres-rows.ts";
import { readColumns } from "./read-columns.ts";
import { connections, Session } from "./session.ts";

/** Connections of one process: one that writes, the others for pages that read at the same time. */
const CONNECTIONS = 6;

/** How a database is opened. */
interface PostgresOptions {
  readonly create: boolean;
  readonly waiting: Waiting;
}

/**
 * Opens (and where allowed makes) the store in a PostgreSQL database that is there already.
 *
 * @throws {StoreError} "bad-store-address", "store-unreachable", "store-refused", "no-store", "not-a-store",
 *   "store-newer", "store-unreadable".
 */
export async function openPostgresStore(url: string, { create, waiting }: PostgresOptions): Promise<Store> {
  const address = readAddress(url);
  const pool = connections(address, CONNECTIONS);
  try {
    const session = await Session.of(pool, address);
    try {
      await makeReady(session, address, create);
    } finally {
      session.release();
    }
    return new PostgresStore(pool, address, waiting);
  } catch (error) {
    await pool.end();
    throw error;
  }
}

class PostgresStore extends QueriedStore implements Store {
  readonly location: string;
  readonly shown: string;
  readonly contents = new PostgresContents({
    read: (work) => this.#withSession(work),
    write: (work) => this.#writeBy(work),
    shown: () => this.shown,
  });
  protected readonly reads: Kysely<Tables>;
  readonly #pool: pg.Pool;
  readonly #address: PostgresAddress;
  readonly #waiting: Waiting;
  /** One file at a time within a process. */
  readonly #turns = new Turns();

  constructor(pool: pg.Pool, address: PostgresAddress, waiting: Waiting) {
    super();
    this.location = address.url;
    this.shown = address.shown;
    this.#pool = pool;
    this.#address = address;
    this.#waiting = waiting;
    this.reads = new Session(pool, address).queries;
  }

  async beginFile(file: string, takenInAtMs: number): Promise<FileIntake> {
    return this.#within(await this.#begin(), (setting) => beginIntake(setting, file, takenInAtMs));
  }

  async rehearse(): Promise<Rehearsal> {
    const { session, end } = await this.#begin();
    return {
      beginFile: async (file, takenInAtMs) => {
        await session.run("SAVEPOINT file");
        const part = {
          keep: async () => void (await session.run("RELEASE file")),
          drop: async () => void (await session.run("ROLLBACK TO file")),
          ended: () => undefined,
        };
        return beginIntake({ session, end: part }, file, takenInAtMs);
      },
      end: async () => {
        await end.drop();
        end.ended();
      },
    };
  }

  async rangeUses(instrument: string): Promise<RangeUse[]> {
    // Rounding joins what is printed with few digits; what is still nearly equal is joined by the caller.
    return new Session(this.#pool, this.#address).all<RangeUse>(
      `SELECT geometry.name AS geometry, avg(speed_rpm * full_scale_range_mpas) AS constant,
              count(DISTINCT checked_at_ms) AS checks
       FROM reading LEFT JOIN geometry ON geometry.id = geometry_id
       WHERE instrument_id = (SELECT id FROM instrument WHERE name = $1)
       GROUP BY geometry.name, geometry_id, round(ln(speed_rpm * full_scale_range_mpas)::numeric, 4)`,
      [instrument],
    );
  }

  async readings(filter: ReadingFilter = {}): Promise<ReadingColumns> {
    return this.#withSession((session) => readColumns(session, filter));
  }

  async close(): Promise<void> {
    const endTurn = await this.#turns.take();
    if (!this.#pool.ending) await this.#pool.end();
    endTurn();
  }

  protected async beginRereading(id: number, { replace }: { readonly replace: boolean }): Promise<Rereading> {
    return this.#within(await this.#begin(), (setting) => beginRereading(setting, id, replace));
  }

  protected write<T>(change: (db: Kysely<Tables>) => Promise<T>): Promise<T> {
    return this.#writeBy((session) => change(session.queries));
  }

  async #writeBy<T>(work: (session: Session) => Promise<T>): Promise<T> {
    return this.#within(await this.#begin(), async ({ session, end }) => {
      const result = await work(session);
      await end.keep();
      end.ended();
      return result;
    });
  }

  async #withSession<T>(work: (session: Session) => Promise<T>): Promise<T> {
    const session = await Session.of(this.#pool, this.#address);
    try {
      return await work(session);
    } finally {
      session.release();
    }
  }

  /** What begins a transaction's work, undone where it fails. */
  async #within<T>(
    setting: Omit<RowsSetting, "fileId">,
    work: (setting: Omit<RowsSetting, "fileId">) => Promise<T>,
  ): Promise<T> {
    try {
      return await work(setting);
    } catch (error) {
      await setting.end.drop();
      setting.end.ended();
      throw error;
    }
  }

  /** A writing transaction, when all before it in this process have ended. */
  async #begin(): Promise<Omit<RowsSetting, "fileId">> {
    const endTurn = await this.#turns.take();
    try {
      const session = await Session.of(this.#pool, this.#address);
      const ended = () => {
        session.release();
        endTurn();
      };
      try {
        await beginWriting(session, this.#address, this.#waiting);
      } catch (error) {
        await session.rollback();
        session.release();
        throw error;
      }
      return { session, end: { keep: () => session.commit(), drop: () => session.rollback(), ended } };
    } catch (error) {
      endTurn();
      throw error;
    }
  }
}
