import { once } from "node:events";
import { type Dialect, Kysely, PostgresDialect } from "kysely";
import pg from "pg";
import { from as copyFrom, to as copyTo } from "pg-copy-streams";
import { StoreError } from "../../errors.ts";
import type { Tables } from "../tables.ts";
import type { PostgresAddress } from "./address.ts";
import { fromStored, toStored } from "./safe-text.ts";
import { plainStoreError } from "./store-errors.ts";

export type Value = string | number | null | readonly (string | number | null)[];

/** The schema that all tables of a store are in: its mark, and room for other things beside it. */
export const SCHEMA = "springtide";

const { builtins } = pg.types;

/** Whole numbers as numbers: all of ours are far below 2^53. Everything else as node-postgres has it. */
const types = {
  getTypeParser(oid: number, format?: "text" | "binary") {
    if (oid === builtins.INT8) return Number;
    if (oid === builtins.TEXT) return fromStored;
    return pg.types.getTypeParser(oid, format as "text");
  },
};

/** Connections to one database, made when needed. */
export function connections(address: PostgresAddress, most: number): pg.Pool {
  const pool = new pg.Pool({
    connectionString: address.url,
    max: most,
    types: types as pg.CustomTypesConfig,
    connectionTimeoutMillis: 10_000,
    keepAlive: true,
    application_name: "springtide",
    // A host that vanished without a word must not hold the store for hours.
    options: `-c search_path=${SCHEMA} -c TimeZone=UTC -c tcp_keepalives_idle=30 -c tcp_keepalives_interval=10 -c tcp_keepalives_count=3`,
  });
  // A connection that breaks while nobody uses it is replaced by the next use; whoever uses one is told by the query.
  pool.on("error", () => undefined);
  return pool;
}

/** One connection, or a pool of them where no transaction is needed, with its errors in plain words. */
export class Session {
  readonly queries: Kysely<Tables>;
  readonly #client: Pick<pg.ClientBase, "query"> & Partial<Pick<pg.PoolClient, "release">>;
  readonly #address: PostgresAddress;
  #isBroken = false;

  constructor(client: pg.Pool | pg.PoolClient, address: PostgresAddress) {
    this.#client = client;
    this.#address = address;
    this.queries = new Kysely<Tables>({ dialect: this.#dialect() });
  }

  static async of(pool: pg.Pool, address: PostgresAddress): Promise<Session> {
    try {
      const client = await pool.connect();
      const session = new Session(client, address);
      client.on("error", session.#noteBroken);
      return session;
    } catch (error) {
      throw plainStoreError(error, address);
    }
  }

  async all<Row>(text: string, values: readonly Value[] = []): Promise<Row[]> {
    return (await this.#query({ text, values: stored(values) })).rows as Row[];
  }

  /** Rows as arrays: quicker where there are many. */
  async arrays<Row>(text: string, values: readonly Value[] = []): Promise<Row[]> {
    const asked = { text, values: stored(values), rowMode: "array" as const };
    return (await this.#query(asked)).rows as unknown as Row[];
  }

  /** @returns How many rows it changed. */
  async run(text: string, values: readonly Value[] = []): Promise<number> {
    return (await this.#query({ text, values: stored(values) })).rowCount ?? 0;
  }

  /** Keeps a transaction. @throws where an error before had ended it: PostgreSQL would drop it without a word. */
  async commit(): Promise<void> {
    const { command } = await this.#query({ text: "COMMIT" });
    if (command !== "COMMIT") throw new Error("a transaction that had failed before was to be kept");
  }

  /** Drops a transaction, or is content where the connection took it along. */
  async rollback(): Promise<void> {
    try {
      await this.#query({ text: "ROLLBACK" });
    } catch (error) {
      if (!(error instanceof StoreError)) throw error;
    }
  }

  /** Sends rows in COPY's text form. */
  async copyIn(text: string, lines: string): Promise<void> {
    try {
      const stream = (this.#client as pg.ClientBase).query(copyFrom(text));
      stream.end(lines);
      await once(stream, "finish");
    } catch (error) {
      throw plainStoreError(error, this.#address);
    }
  }

  /** What COPY gives, piece by piece. */
  async *copyOut(text: string): AsyncGenerator<Buffer> {
    try {
      yield* (this.#client as pg.ClientBase).query(copyTo(text)) as AsyncIterable<Buffer>;
    } catch (error) {
      throw plainStoreError(error, this.#address);
    }
  }

  /** Gives the connection back; one that broke is thrown away. */
  release(): void {
    const client = this.#client as pg.PoolClient;
    client.removeListener("error", this.#noteBroken);
    client.release(this.#isBroken);
  }

  readonly #noteBroken = () => {
    this.#isBroken = true;
  };

  async #query(asked: pg.QueryConfig): Promise<pg.QueryResult> {
    try {
      return await this.#client.query(asked);
    } catch (error) {
      throw plainStoreError(error, this.#address);
    }
  }

  #dialect(): Dialect {
    const query = async (text: string, values: readonly unknown[]) => {
      const { command, rowCount, rows } = await this.#query({ text, values: stored(values as Value[]) });
      return { command: command as "SELECT", rowCount: rowCount ?? 0, rows };
    };
    // Whoever opened the connection closes it.
    return new PostgresDialect({
      pool: {
        connect: async () => ({ query: query as never, release: () => undefined }),
        end: async () => undefined,
        options: {},
      },
    });
  }
}

function stored(values: readonly Value[]): unknown[] {
  const one = (value: string | number | null) => (typeof value === "string" ? toStored(value) : value);
  return values.map((value) =>
    Array.isArray(value) ? value.map(one) : one(value as string | number | null),
  );
}
