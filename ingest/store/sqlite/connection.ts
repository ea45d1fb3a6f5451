import { DatabaseSync, type SQLInputValue, type SQLOutputValue, type StatementSync } from "node:sqlite";
import { type Dialect, Kysely, SqliteDialect } from "kysely";
import type { Tables } from "../tables.ts";

/** How long one statement waits for another process. Unit: ms. */
const BUSY_TIMEOUT_MS = 5000;

/** One connection to a database file: as it is, for the bulk paths, and for built queries. */
export interface Connection {
  readonly raw: DatabaseSync;
  readonly queries: Kysely<Tables>;
}

/**
 * Opens a database file with the settings that every connection needs.
 *
 * @remarks
 * synchronous FULL keeps an acknowledged intake through a power cut; a page cache of tens of MiB is about
 * 4 times as fast as the default on a million rows. Half of these 32 MiB take a fifth longer where millions of rows come
 * by time and not by unit; twice as many cost an intake 30 MB of memory.
 */
export function connect(file: string): Connection {
  const raw = new DatabaseSync(file, { timeout: BUSY_TIMEOUT_MS, enableForeignKeyConstraints: true });
  raw.exec("PRAGMA synchronous = FULL; PRAGMA cache_size = -32768; PRAGMA temp_store = MEMORY;");
  return { raw, queries: new Kysely<Tables>({ dialect: dialectOver(raw) }) };
}

/** Once a statement returns arrays, that is what it gives, whatever its type says. */
function arraysOf(statement: StatementSync, parameters: readonly SQLInputValue[]): SQLOutputValue[][] {
  return statement.all(...parameters) as unknown as SQLOutputValue[][];
}

/**
 * A row as a plain object: those of node:sqlite have no prototype, which surprises whoever compares or prints them, and
 * making a plain one of each takes three times as long as making one of an array.
 */
function named(names: readonly string[], values: readonly SQLOutputValue[]): Record<string, SQLOutputValue> {
  const row: Record<string, SQLOutputValue> = {};
  for (let i = 0; i < names.length; i++) row[names[i]!] = values[i]!;
  return row;
}

/** Kysely's SQLite dialect, spoken over node:sqlite; whoever opened the database closes it. */
function dialectOver(raw: DatabaseSync): Dialect {
  const bindable = (parameters: readonly unknown[]) => parameters as readonly SQLInputValue[];
  return new SqliteDialect({
    database: {
      close: () => undefined,
      prepare: (text: string) => {
        const statement = raw.prepare(text);
        const names = statement.columns().map(({ name }) => name);
        statement.setReturnArrays(true);
        return {
          reader: names.length > 0,
          all: (parameters) => arraysOf(statement, bindable(parameters)).map((row) => named(names, row)),
          run: (parameters) => statement.run(...bindable(parameters)),
          iterate: () => {
            throw new Error("built queries are answered whole");
          },
        };
      },
    },
  });
}
