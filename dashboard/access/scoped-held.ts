import type { FileRecord, HeldFilter, HeldRows, Store } from "../../ingest/index.ts";
import { whoAsks } from "./person.ts";

/** What came in and what was held back, for the eyes of whoever asks. */
export interface SeenIntake {
  readonly held: Pick<HeldRows, "list" | "count" | "find">;
  files(): Promise<readonly FileRecord[]>;
}

export function scopedIntake(store: Store): SeenIntake {
  const own = (filter: HeldFilter): HeldFilter => {
    const { sites } = whoAsks();
    return sites === null ? filter : { ...filter, sites };
  };
  return {
    held: {
      list: (filter, part) => store.held.list(own(filter), part),
      count: (filter) => store.held.count(own(filter)),
      find: async (id) => {
        const row = await store.held.find(id);
        if (row === null || whoAsks().sites === null) return row;
        // The site of a row that names none is where its unit is registered: the list knows.
        const rows = await store.held.list(own({ file: row.file, reason: row.reason }));
        return rows.find((one) => one.id === id) ?? null;
      },
    },
    // A file may hold the rows of several sites, and is called as people called it.
    files: async () => (whoAsks().sites === null ? store.files() : []),
  };
}
