import type { TrailNote } from "./trail.ts";

/** All that a store holds, as tables of plain values, for whoever moves it elsewhere. */
export interface StoreContents {
  tables(): Promise<readonly TableShape[]>;
  /** One look at everything: what others write meanwhile is not seen. */
  read<T>(work: (from: ReadableTables) => Promise<T>): Promise<T>;
  /**
   * Fills an empty store, all or nothing.
   *
   * @throws {StoreError} "store-not-empty" where anything is there already.
   */
  fill(work: (into: FillableTables) => Promise<void>): Promise<void>;
  /**
   * Fills a store anew from which all rows have been taken but those of its trail, all or nothing. Its revision goes
   * on, so that whoever has it open sees that it is another.
   */
  replace(work: (into: FillableTables) => Promise<void>): Promise<void>;
}

export interface TableShape {
  readonly name: string;
  readonly columns: readonly string[];
  /** The columns by which rows are told apart and sorted. */
  readonly key: readonly string[];
  /** Other tables that its rows point to. */
  readonly refersTo: readonly string[];
}

/** The values of one row, in the order of the table's columns. */
export type ContentRow = readonly (string | number | null)[];

export interface ReadableTables {
  /** By key, {@link ROWS_AT_ONCE} at once, the last ones fewer. */
  rows(table: TableShape): AsyncIterable<readonly ContentRow[]>;
}

export interface FillableTables extends ReadableTables {
  put(table: TableShape, rows: readonly ContentRow[]): Promise<void>;
  /** Puts an entry at the end of the trail. */
  tell(note: TrailNote): Promise<void>;
}

export const ROWS_AT_ONCE = 5000;

/** Every store has its one row. */
export const STATE_TABLE = "store_state";

/** What a store keeps when all else is replaced. */
export const KEPT_IN_PLACE: ReadonlySet<string> = new Set([STATE_TABLE, "trail"]);

/** What the migrations keep for themselves. */
export const MIGRATION_TABLES = ["migration", "migration_lock"] as const;

export const quoted = (name: string) => `"${name}"`;

/** All rows of a table by its key. */
export function selectAll({ name, columns, key }: TableShape): string {
  return `SELECT ${columns.map(quoted).join(", ")} FROM ${quoted(name)} ORDER BY ${key.map(quoted).join(", ")}`;
}

/** Tables after those that their rows point to. */
export function referredFirst(tables: readonly TableShape[]): TableShape[] {
  const byName = new Map(tables.map((table) => [table.name, table]));
  const ordered = new Set<TableShape>();
  const visit = (table: TableShape) => {
    for (const name of table.refersTo) if (name !== table.name) visit(byName.get(name)!);
    ordered.add(table);
  };
  for (const table of tables) visit(table);
  return [...ordered];
}

/** What is emptied before a store is filled anew, rows that point to others first. */
export function replacedTables(tables: readonly TableShape[]): TableShape[] {
  return referredFirst(tables)
    .filter(({ name }) => !KEPT_IN_PLACE.has(name))
    .reverse();
}
