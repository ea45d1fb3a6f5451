import type { Kysely } from "kysely";
import type { HeldCounts, HeldDecision, HeldFilter, HeldRow, HeldRows, Rereading } from "./held.ts";
import { countHeldRows, insertHeldDecision, selectHeldRows } from "./held-queries.ts";
import type { Tables } from "./tables.ts";

/** What the held rows need of the store around them. */
interface Around {
  reads(): Kysely<Tables>;
  write(change: (db: Kysely<Tables>) => Promise<void>): Promise<void>;
  beginRereading(id: number, how: { readonly replace: boolean }): Promise<Rereading>;
}

/** The held rows of a store, by queries that any database answers. */
export class QueriedHeld implements HeldRows {
  readonly #around: Around;

  constructor(around: Around) {
    this.#around = around;
  }

  list(filter: HeldFilter, part?: { readonly offset: number; readonly limit: number }): Promise<HeldRow[]> {
    return selectHeldRows(this.#around.reads(), filter, part);
  }

  count(filter: HeldFilter): Promise<HeldCounts> {
    return countHeldRows(this.#around.reads(), filter);
  }

  async find(id: number): Promise<HeldRow | null> {
    const [row] = await selectHeldRows(this.#around.reads(), { id });
    return row ?? null;
  }

  decide(id: number, decision: HeldDecision): Promise<void> {
    return this.#around.write((db) => insertHeldDecision(db, id, decision));
  }

  beginRereading(id: number, how: { readonly replace: boolean }): Promise<Rereading> {
    return this.#around.beginRereading(id, how);
  }
}
