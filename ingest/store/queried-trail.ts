import type { Kysely } from "kysely";
import type { Tables } from "./tables.ts";
import type { Trail, TrailEntry, TrailFilter, TrailNote } from "./trail.ts";
import { appendTrail, countTrail, selectTrail } from "./trail-queries.ts";

/** What the trail needs of the store around it. */
interface Around {
  reads(): Kysely<Tables>;
  write(change: (db: Kysely<Tables>) => Promise<void>): Promise<void>;
}

/** The trail of a store, by queries that any database answers. */
export class QueriedTrail implements Trail {
  readonly #around: Around;

  constructor(around: Around) {
    this.#around = around;
  }

  list(
    filter: TrailFilter,
    part: { readonly offset: number; readonly limit: number; readonly newestFirst?: boolean },
  ): Promise<TrailEntry[]> {
    return selectTrail(this.#around.reads(), filter, part);
  }

  count(filter: TrailFilter): Promise<number> {
    return countTrail(this.#around.reads(), filter);
  }

  append(note: TrailNote): Promise<void> {
    return this.#around.write((db) => appendTrail(db, note));
  }
}
