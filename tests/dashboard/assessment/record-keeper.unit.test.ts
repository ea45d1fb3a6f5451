import assert from "node:assert/strict";
import { setTimeout as wait } from "node:timers/promises";
import { describe, it } from "vitest";
import { RecordKeeper } from "../../../dashboard/assessment/record-keeper.ts";
import type { KeptRecord, Store } from "../../../ingest/index.ts";

const AS_OF = "2026-03-31";

/** A store at an address that no thread can open, with what the keeper asks of it. */
function storeWith(kept: KeptRecord | null): Store {
  const asked: Pick<Store, "location" | "revision" | "record" | "settingsChanges"> = {
    location: "nowhere:at-all",
    revision: async () => 5,
    record: async () => kept,
    settingsChanges: async () => [],
  };
  return asked as Store;
}

describe("the keeper of the record", () => {
  it("has nothing worked out unless it is asked to", async () => {
    const view = await new RecordKeeper(storeWith(null)).look(AS_OF, false);
    assert.deepEqual(view, { asOf: AS_OF, revision: 5, record: null, isCurrent: false, progress: null });
  });

  it("has nothing worked out that is kept already", async () => {
    const kept = { asOf: AS_OF, basis: "", revision: 5, record: "null" };
    const view = await new RecordKeeper(storeWith(kept)).look(AS_OF, true);
    assert.equal(view.isCurrent, true);
    assert.equal(view.progress, null);
  });

  it("shows the one of an earlier state meanwhile", async () => {
    const kept = { asOf: "2026-03-30", basis: "", revision: 4, record: "null" };
    const view = await new RecordKeeper(storeWith(kept)).look(AS_OF, true);
    assert.equal(view.record?.asOf, "2026-03-30");
    assert.equal(view.isCurrent, false);
    assert.deepEqual(view.progress, { done: 0, of: 0 });
  });

  it("tells a failure once to who asked for the work, to nobody else, and then tries again", async () => {
    const keeper = new RecordKeeper(storeWith(null));
    assert.notEqual((await keeper.look(AS_OF, true)).progress, null);
    while ((await keeper.look(AS_OF, false)).progress !== null) await wait(20);
    await assert.rejects(keeper.look(AS_OF, true), /nowhere:at-all/);
    assert.notEqual((await keeper.look(AS_OF, true)).progress, null);
  });
});
