import assert from "node:assert/strict";
import { join } from "node:path";
import { DatabaseSync } from "node:sqlite";
import { onTestFinished } from "vitest";
import { openStore } from "../../../ingest/index.ts";
import { scratchFolder } from "../support/scratch.ts";
import { testStore } from "./store-contract.ts";

testStore("the store in an SQLite file", async () => {
  const path = join(scratchFolder(), "store.sqlite");
  const url = `sqlite:${path}`;
  const open = async () => {
    const store = await openStore(url);
    onTestFinished(async () => {
      await store.close();
      // Files are taken in without SQLite's own check of references: nothing may point to what is not there.
      const file = new DatabaseSync(path);
      assert.deepEqual(file.prepare("PRAGMA foreign_key_check").all(), []);
      file.close();
    });
    return store;
  };
  return { store: await open(), again: open };
});
