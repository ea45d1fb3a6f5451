import assert from "node:assert/strict";
import { describe, it } from "vitest";
import type { FrozenLimit, Store } from "../../../ingest/index.ts";
import { DATABASES } from "../support/databases.ts";
import { ingest, writeFiles } from "../support/scratch.ts";

async function withUnit(store: Store): Promise<Store> {
  await ingest(
    store,
    writeFiles({ "instruments.csv": "instrument,site,usage\n0042,North,daily\n0043,North,daily\n" }),
  );
  return store;
}

const limit: FrozenLimit = {
  instrument: "0042",
  lifeFrom: null,
  quantity: "span",
  frozenOn: "2026-03-01",
  mean: 0.1,
  scale: 1.2,
  meanWeight: 40,
  df: 18,
  checks: 8,
  fromDay: 20000.5,
  toDay: 20050.25,
  centreDay: 20025,
  runLength: 2600,
  perMonthPer100Units: 1,
  strayShare: 0.003,
  levelFactor: 0.95,
  rateVariance: 0.01,
  wanderVariance: null,
};

describe.each(DATABASES)("what people and earlier runs left in the store, %s", (_, emptyStore) => {
  it("limits stay as they were kept first, and are no change of the data", async () => {
    const store = await withUnit(await emptyStore());
    const revision = await store.revision();
    await store.keepLimits([limit, { ...limit, lifeFrom: "2026-01-05" }]);
    await store.keepLimits([
      { ...limit, mean: 9 },
      { ...limit, instrument: "0043" },
    ]);
    assert.deepEqual(await store.frozenLimits("0042"), [limit, { ...limit, lifeFrom: "2026-01-05" }]);
    assert.equal((await store.frozenLimits()).length, 3);
    assert.equal(await store.revision(), revision);
  });

  it("gives the record worked out last as of a day, on the same basis only", async () => {
    const store = await withUnit(await emptyStore());
    const revision = await store.revision();
    const march = { asOf: "2026-03-01", basis: "a", revision, record: "{}" };
    for (const record of [{ ...march, asOf: "2026-04-01" }, { ...march, basis: "b" }, march])
      await store.keepRecord(record);
    assert.deepEqual(await store.record("2026-03-31", "a"), march);
    assert.equal(await store.record("2026-02-28", "a"), null);
    assert.equal(await store.record("2026-05-01", "c"), null);
    await store.keepRecord({ ...march, revision: revision + 1, record: "[1]" });
    assert.deepEqual(await store.record("2026-03-01", "a"), {
      ...march,
      revision: revision + 1,
      record: "[1]",
    });
    // A later one takes the place of all before it on its basis.
    await store.keepRecord({ ...march, asOf: "2026-05-01" });
    assert.equal(await store.record("2026-04-30", "a"), null);
    assert.equal((await store.record("2026-04-30", "b"))?.asOf, "2026-03-01");
    assert.equal(await store.revision(), revision);
  });

  it("gives the figures learnt last as of a day, on the same basis only", async () => {
    const store = await withUnit(await emptyStore());
    const revision = await store.revision();
    const march = { asOf: "2026-03-01", readings: 10, basis: "a", figures: "{}" };
    const april = { ...march, asOf: "2026-04-01", readings: 12 };
    for (const figures of [april, march, { ...april, basis: "b" }]) await store.keepFigures(figures);
    assert.deepEqual(await store.figures("2026-03-31", "a"), march);
    assert.deepEqual(await store.figures("2026-05-01", "a"), april);
    assert.equal(await store.figures("2026-02-28", "a"), null);
    assert.equal(await store.figures("2026-05-01", "c"), null);
    await store.keepFigures({ ...april, figures: "[1]" });
    assert.equal((await store.figures("2026-04-01", "a"))?.figures, "[1]");
    assert.equal(await store.revision(), revision);
  });

  it("keeps thousands of limits at once", async () => {
    const store = await withUnit(await emptyStore());
    const many = Array.from({ length: 1201 }, (_, i) => ({ ...limit, quantity: `q${i}` }));
    await store.keepLimits(many);
    assert.equal((await store.frozenLimits()).length, many.length);
  });

  it("settings stand one after the other, and change the revision", async () => {
    const store = await withUnit(await emptyStore());
    const revision = await store.revision();
    const first = { setAtMs: 1000, by: "A", why: null, fromDay: "2020-01-01", settings: "{}" };
    const second = { setAtMs: 2000, by: "B", why: "procedure 7", fromDay: null, settings: '{"a":1}' };
    await store.changeSettings(first);
    await store.changeSettings(second);
    assert.deepEqual(await store.settingsChanges(), [first, second]);
    assert.ok((await store.revision()) > revision);
  });

  it("judgements are numbered and appended; one can be undone once", async () => {
    const store = await withUnit(await emptyStore());
    const remark = {
      kind: "remark" as const,
      instrument: "0042",
      madeAtMs: 5,
      by: "A",
      why: "moved to the other bench",
      checkedAtMs: null,
      speedRpm: null,
      onDay: "2026-02-01",
      undoes: null,
    };
    const id = await store.addJudgement(remark);
    const undo = { ...remark, kind: "undo" as const, why: "the wrong unit", onDay: null, undoes: id };
    await store.addJudgement(undo);
    const all = await store.judgements();
    assert.deepEqual(all, [
      { id: 1, ...remark },
      { id: 2, ...undo },
    ]);
    await assert.rejects(store.addJudgement(undo));
    assert.equal((await store.judgements()).length, 2);
  });
});
