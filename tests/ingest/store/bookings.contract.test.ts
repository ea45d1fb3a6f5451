import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { DATABASES } from "../support/databases.ts";
import { ingest, writeFiles } from "../support/scratch.ts";

const kept = { week: "2026-W20", madeAtMs: 5, by: "Ada", why: "with the courier" } as const;

describe.each(DATABASES)("kept bookings %s", (_, emptyStore) => {
  it("come back in order, those that release others among them, and move the revision", async () => {
    const store = await emptyStore();
    await ingest(store, writeFiles({ "a.csv": "instrument,model_class\nU-1,low torque\nU-2,low torque\n" }));
    const before = await store.revision();
    assert.deepEqual(await store.bookings.list(), []);
    await store.bookings.add([
      { ...kept, instrument: "U-1" },
      { ...kept, instrument: "U-2" },
    ]);
    await store.bookings.add([{ ...kept, instrument: "U-1", week: null, madeAtMs: 6 }]);
    await store.bookings.add([]);
    assert.deepEqual(await store.bookings.list(), [
      { ...kept, id: 1, instrument: "U-1" },
      { ...kept, id: 2, instrument: "U-2" },
      { ...kept, id: 3, instrument: "U-1", week: null, madeAtMs: 6 },
    ]);
    assert.equal(await store.revision(), before + 2);
  });

  it("are kept all or none", async () => {
    const store = await emptyStore();
    await ingest(store, writeFiles({ "a.csv": "instrument,model_class\nU-1,low torque\n" }));
    const before = await store.revision();
    for (const wrong of [
      { ...kept, instrument: "nobody" },
      { ...kept, instrument: "U-1", why: "" },
      { ...kept, instrument: "U-1", week: "2026" },
    ]) {
      await assert.rejects(store.bookings.add([{ ...kept, instrument: "U-1" }, wrong]));
    }
    assert.deepEqual(await store.bookings.list(), []);
    assert.equal(await store.revision(), before);
  });
});
