import { detached } from "../../text/detached.ts";
import { NAME_TABLES, type NameTable } from "../tables.ts";
import type { Session } from "./session.ts";

/** Names kept at hand per table; operators are free text, so the number must have an end. */
const MAX_CACHED = 100_000;

/** Numbers of names within one transaction: looked up, or added where new, many at once. */
export class Names {
  readonly #session: Session;
  readonly #tables = new Map(NAME_TABLES.map((table) => [table, new Map<string, number>()]));

  constructor(session: Session) {
    this.#session = session;
  }

  /** Looks names up, so that {@link get} knows those that are stored. */
  async find(table: NameTable, names: Iterable<string | null>): Promise<void> {
    const unknown = this.#unknown(table, names);
    if (unknown.length === 0) return;
    this.#keep(
      table,
      await this.#session.all(`SELECT id, name FROM ${table} WHERE name = ANY($1::text[])`, [unknown]),
    );
  }

  /** The same, and adds those that are new, numbered in the order in which they come. */
  async add(table: NameTable, names: Iterable<string | null>): Promise<void> {
    const all = [...names];
    await this.find(table, all);
    const unknown = this.#unknown(table, all);
    if (unknown.length === 0) return;
    this.#keep(
      table,
      await this.#session.all(
        `INSERT INTO ${table} (id, name)
         SELECT (SELECT coalesce(max(id), 0) FROM ${table}) + place, name
         FROM unnest($1::text[]) WITH ORDINALITY AS new (name, place) RETURNING id, name`,
        [unknown],
      ),
    );
  }

  /** The number of a name that was looked up; null for null, and where it is not stored. */
  get(table: NameTable, name: string | null): number | null {
    return name === null ? null : (this.#tables.get(table)!.get(name) ?? null);
  }

  #unknown(table: NameTable, names: Iterable<string | null>): string[] {
    const known = this.#tables.get(table)!;
    const unknown = new Set<string>();
    for (const name of names) if (name !== null && !known.has(name)) unknown.add(name);
    // Room is made between batches only: what a batch asks for stays.
    if (unknown.size > 0 && known.size >= MAX_CACHED) {
      known.clear();
      return [...new Set(names)].filter((name) => name !== null);
    }
    return [...unknown];
  }

  #keep(table: NameTable, rows: readonly { readonly id: number; readonly name: string }[]): void {
    const known = this.#tables.get(table)!;
    for (const { id, name } of rows) known.set(detached(name), id);
  }
}
