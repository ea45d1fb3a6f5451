import assert from "node:assert/strict";
import { DatabaseSync } from "node:sqlite";
import { proveTrail, type Store } from "../../ingest/index.ts";

/** Whether the store is sound, and its trail tells of each file that is in it and of none that is not. */
export async function assertWhole(store: Store): Promise<void> {
  if (store.location.startsWith("sqlite:")) {
    const database = new DatabaseSync(store.location.slice("sqlite:".length));
    assert.equal(database.prepare("PRAGMA integrity_check").get()!.integrity_check, "ok");
    database.close();
  }
  // In one look: a server may still be keeping what a killed process sent last.
  const { files, told } = await store.contents.read(async (from) => {
    const all = async (name: string) => {
      const table = (await store.contents.tables()).find((one) => one.name === name)!;
      const rows: Record<string, unknown>[] = [];
      for await (const part of from.rows(table)) {
        for (const row of part)
          rows.push(Object.fromEntries(table.columns.map((column, i) => [column, row[i]])));
      }
      return rows;
    };
    const entries = (await all("trail")).filter(({ action }) => action === "took-in");
    return { files: (await all("file")).map(({ file }) => file), told: entries.map(({ about }) => about) };
  });
  assert.deepEqual(told.sort(), files.sort());
  assert.equal((await proveTrail(store.trail)).brokenAt, null);
}
