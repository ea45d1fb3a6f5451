import type { DatabaseSync } from "node:sqlite";
import { StoreError } from "../../errors.ts";
import {
  type ContentRow,
  type FillableTables,
  MIGRATION_TABLES,
  quoted,
  type ReadableTables,
  ROWS_AT_ONCE,
  replacedTables,
  STATE_TABLE,
  type StoreContents,
  selectAll,
  type TableShape,
} from "../contents.ts";
import { appendTrail } from "../trail-queries.ts";
import type { Connection } from "./connection.ts";

/** What the contents need of the store around them. */
interface Around {
  shown(): string;
  reader(): DatabaseSync;
  /** One writing transaction around some work. */
  write(work: (connection: Connection) => Promise<void>): Promise<void>;
}

/** All that a store in an SQLite file holds. */
export class SqliteContents implements StoreContents {
  readonly #around: Around;

  constructor(around: Around) {
    this.#around = around;
  }

  async tables(): Promise<TableShape[]> {
    return shapes(this.#around.reader());
  }

  async read<T>(work: (from: ReadableTables) => Promise<T>): Promise<T> {
    const reader = this.#around.reader();
    reader.exec("BEGIN");
    try {
      return await work({ rows: (table) => rowsOf(reader, table) });
    } finally {
      reader.exec("COMMIT");
    }
  }

  async fill(work: (into: FillableTables) => Promise<void>): Promise<void> {
    await this.#around.write(async (connection) => {
      const { raw } = connection;
      for (const { name } of shapes(raw)) {
        if (name === STATE_TABLE) continue;
        if (raw.prepare(`SELECT 1 FROM ${quoted(name)} LIMIT 1`).get() !== undefined) {
          throw new StoreError(
            "store-not-empty",
            `The store ${this.#around.shown()} holds something already: name a new one to copy into.`,
          );
        }
      }
      raw.exec(`DELETE FROM ${STATE_TABLE}`);
      await work(fillable(connection));
    });
  }

  async replace(work: (into: FillableTables) => Promise<void>): Promise<void> {
    await this.#around.write(async (connection) => {
      const { raw } = connection;
      for (const { name } of replacedTables(shapes(raw))) raw.exec(`DELETE FROM ${quoted(name)}`);
      await work(fillable(connection));
      raw.exec(`UPDATE ${STATE_TABLE} SET revision = revision + 1`);
    });
  }
}

function fillable({ raw, queries }: Connection): FillableTables {
  return {
    rows: (table) => rowsOf(raw, table),
    put: async (table, rows) => putRows(raw, table, rows),
    tell: (note) => appendTrail(queries, note),
  };
}

function shapes(raw: DatabaseSync): TableShape[] {
  const names = raw
    .prepare(
      `SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite\\_%' ESCAPE '\\'
       AND name NOT IN (${MIGRATION_TABLES.map((name) => `'${name}'`).join(", ")}) ORDER BY name`,
    )
    .all()
    .map((row) => String(row.name));
  return names.map((name) => {
    const columns = raw.prepare("SELECT name, pk FROM pragma_table_info(?) ORDER BY cid").all(name);
    const references = raw.prepare(`SELECT DISTINCT "table" FROM pragma_foreign_key_list(?)`).all(name);
    return {
      name,
      columns: columns.map((column) => String(column.name)),
      key: columns
        .filter(({ pk }) => Number(pk) > 0)
        .sort((a, b) => Number(a.pk) - Number(b.pk))
        .map((column) => String(column.name)),
      refersTo: references.map(({ table }) => String(table)),
    };
  });
}

async function* rowsOf(raw: DatabaseSync, table: TableShape): AsyncGenerator<ContentRow[]> {
  const select = raw.prepare(selectAll(table));
  select.setReturnArrays(true);
  let rows: ContentRow[] = [];
  for (const row of select.iterate()) {
    rows.push(row as unknown as ContentRow);
    if (rows.length < ROWS_AT_ONCE) continue;
    yield rows;
    rows = [];
  }
  if (rows.length > 0) yield rows;
}

function putRows(raw: DatabaseSync, { name, columns }: TableShape, rows: readonly ContentRow[]): void {
  const insert = raw.prepare(
    `INSERT INTO ${quoted(name)} (${columns.map(quoted).join(", ")}) VALUES (${columns.map(() => "?").join(", ")})`,
  );
  for (const row of rows) insert.run(...row);
}
