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
}

export const ROWS_AT_ONCE = 5000;

/** Every store has its one row. */
export const STATE_TABLE = "store_state";

/** What the migrations keep for themselves. */
export const MIGRATION_TABLES = ["migration", "migration_lock"] as const;

export const quoted = (name: string) => `"${name}"`;

/** All rows of a table by its key. */
export function selectAll({ name, columns, key }: TableShape): string {
  return `SELECT ${columns.map(quoted).join(", ")} FROM ${quoted(name)} ORDER BY ${key.map(quoted).join(", ")}`;
}
