import { onTestFinished } from "vitest";
import { openStore, type Store } from "../../../ingest/index.ts";
import { scratchDatabase } from "../../support/scratch-database.ts";
import { scratchStore } from "./scratch.ts";

/** The databases that a store may be in, for `describe.each`: what is to be called, and an empty store for one test. */
export const DATABASES: readonly (readonly [name: string, emptyStore: () => Promise<Store>])[] = [
  ["in SQLite", () => scratchStore()],
  [
    "in PostgreSQL",
    async () => {
      const store = await openStore(await scratchDatabase());
      onTestFinished(() => store.close());
      return store;
    },
  ],
];
