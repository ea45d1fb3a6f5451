import type { DatabaseSync, StatementSync } from "node:sqlite";
import { detached } from "../../text/detached.ts";
import { NAME_TABLES, type NameTable } from "../tables.ts";

/** Names kept at hand per table; operators are free text, so the number must have an end. */
const MAX_CACHED = 100_000;

/** Numbers of names within one transaction: looked up, or added where new. */
export class Names {
  readonly #tables = new Map<
    NameTable,
    { ids: Map<string, number>; find: StatementSync; add: StatementSync; lastName: string; lastId: number }
  >();

  constructor(raw: DatabaseSync) {
    for (const table of NAME_TABLES) {
      this.#tables.set(table, {
        ids: new Map(),
        find: raw.prepare(`SELECT id FROM ${table} WHERE name = ?`),
        add: raw.prepare(`INSERT INTO ${table} (name) VALUES (?)`),
        lastName: "",
        lastId: 0,
      });
    }
  }

  /** The number of a name, added where it is new. */
  idOf(table: NameTable, name: string): number {
    const known = this.find(table, name);
    if (known !== null) return known;
    const { ids, add } = this.#tables.get(table)!;
    const id = Number(add.run(name).lastInsertRowid);
    ids.set(detached(name), id);
    return id;
  }

  idOrNull(table: NameTable, name: string | null): number | null {
    return name === null ? null : this.idOf(table, name);
  }

  /** The number of a name, null where it is not stored. */
  find(table: NameTable, name: string): number | null {
    const names = this.#tables.get(table)!;
    // Rows of one unit and site follow each other.
    if (name === names.lastName) return names.lastId;
    const { ids, find } = names;
    let id = ids.get(name);
    if (id === undefined) {
      const row = find.get(name);
      if (row === undefined) return null;
      if (ids.size >= MAX_CACHED) ids.clear();
      id = Number(row.id);
      ids.set(detached(name), id);
    }
    names.lastName = name;
    names.lastId = id;
    return id;
  }
}
