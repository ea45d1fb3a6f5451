import assert from "node:assert/strict";
import { join } from "node:path";
import { DatabaseSync } from "node:sqlite";
import { setTimeout as wait } from "node:timers/promises";
import { describe, it, onTestFinished } from "vitest";
import { openStore, StoreError } from "../../../ingest/index.ts";
import { ingest, NOW, scratchFolder, scratchStore, writeFiles } from "../support/scratch.ts";

const HEADER = "instrument,checked_at,speed_rpm,full_scale_range_mpas,reading_mpas,fluid_value_mpas\n";

describe("a store that another process writes", () => {
  it("is waited for, with a word; where nothing moves it is given up, and is usable afterwards", async () => {
    const folder = scratchFolder();
    await scratchStore(folder);
    let waits = 0;
    const url = `sqlite:${join(folder, "store.sqlite")}`;
    const store = await openStore(url, { patienceMs: 1500, onWait: () => waits++ });
    onTestFinished(() => store.close());
    const input = writeFiles({ "a.csv": `${HEADER}U-1,${new Date(NOW).toISOString()},60,200,95.6,95\n` });
    const other = new DatabaseSync(join(folder, "store.sqlite"));
    onTestFinished(() => other.close());
    other.exec("BEGIN IMMEDIATE");
    const reading = await openStore(store.location);
    assert.equal((await reading.readings()).count, 0);
    await reading.close();
    await assert.rejects(
      ingest(store, input),
      (error) =>
        error instanceof StoreError &&
        error.code === "store-locked" &&
        /is locked by another process/.test(error.message),
    );
    assert.equal(waits, 1);

    // As long as something is committed there, it is waited for beyond that.
    const taken = ingest(store, input);
    for (let i = 0; i < 4; i++) {
      await wait(600);
      other.exec("UPDATE store_state SET revision = revision + 1; COMMIT; BEGIN IMMEDIATE");
    }
    await wait(100);
    other.exec("ROLLBACK");
    assert.equal((await taken).totals.accepted, 1);
    assert.equal(waits, 2);
  });
});
