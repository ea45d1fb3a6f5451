import assert from "node:assert/strict";
import { createHash } from "node:crypto";
import { basename } from "node:path";
import { DatabaseSync } from "node:sqlite";
import pg from "pg";
import { describe, it } from "vitest";
import { byHand, copyStore, proveTrail, type Store } from "../../../ingest/index.ts";
import { DATABASES } from "../support/databases.ts";
import { ingest, NOW, scratchStore, writeFiles } from "../support/scratch.ts";

const UNITS = { "units.csv": "instrument,usage,site\nU-1,daily,Quay\nU-2,daily,Quay\n" };
const note = { checkedAtMs: null, speedRpm: null, onDay: "2026-03-01", undoes: null } as const;
const all = { offset: 0, limit: 100 };

function remark(store: Store, why: string): Promise<number> {
  return store.addJudgement({ kind: "remark", instrument: "U-1", madeAtMs: NOW, by: "Ada", why, ...note });
}

describe.each(DATABASES)("the trail, %s", (_, emptyStore) => {
  it("tells each change with who, when, and what was before and after, each chained to the one before", async () => {
    const store = await emptyStore();
    await byHand({ who: "Ada", way: "command" }, () => ingest(store, writeFiles(UNITS)));
    await byHand({ who: "Ben", way: "page" }, async () => {
      await remark(store, "cleaned");
      for (const level of [1, 2]) {
        await store.changeSettings({
          setAtMs: NOW + level,
          by: "Ben",
          why: "a trial",
          fromDay: null,
          settings: JSON.stringify({ level }),
        });
      }
    });
    const entries = await store.trail.list({}, all);
    assert.deepEqual(
      entries.map(({ number, who, way, action, about }) => [number, who, way, action, basename(about)]),
      [
        [1, "Ada", "command", "began", "the trail"],
        [2, "Ada", "command", "took-in", "units.csv"],
        [3, "Ben", "page", "noted", "U-1"],
        [4, "Ben", "page", "changed-settings", "settings"],
        [5, "Ben", "page", "changed-settings", "settings"],
      ],
    );
    assert.deepEqual(JSON.parse(entries[4]!.before!), { settings: { level: 1 } });
    assert.deepEqual(JSON.parse(entries[4]!.after!).settings, { level: 2 });
    assert.equal(entries[2]!.atMs, NOW);
    // Worked out anew from what the docs say, not by the function that wrote it.
    let previous = "";
    for (const { number, atMs, who, way, action, about, site, before, after, hash } of entries) {
      const text = JSON.stringify([previous, number, atMs, who, way, action, about, site, before, after]);
      previous = createHash("sha256").update(text).digest("hex");
      assert.equal(hash, previous);
    }
    assert.deepEqual(await proveTrail(store.trail, entries[2]!.hash), {
      entries: 5,
      head: previous,
      brokenAt: null,
      holdsGiven: true,
    });
    assert.equal((await proveTrail(store.trail, "0".repeat(64))).holdsGiven, false);
  });

  it("has no entry of what changed nothing, and none of what was undone", async () => {
    const store = await emptyStore();
    const folder = writeFiles(UNITS);
    await ingest(store, folder);
    await ingest(store, folder);
    await ingest(store, writeFiles({ "more.csv": "instrument,usage,site\nU-3,daily,Quay\n" }), {
      dryRun: true,
    });
    const file = await store.beginFile("broken.csv", NOW);
    await file.rollback();
    await assert.rejects(
      store.addJudgement({
        kind: "remark",
        instrument: "no unit",
        madeAtMs: NOW,
        by: "Ada",
        why: "x",
        ...note,
      }),
    );
    assert.deepEqual(
      (await store.trail.list({}, all)).map(({ action }) => action),
      ["began", "took-in"],
    );
  });

  it("is in the order in which changes were made, whatever the clock says", async () => {
    const store = await emptyStore();
    await ingest(store, writeFiles(UNITS));
    for (const [why, madeAtMs] of [
      ["first", NOW],
      ["clock set back", NOW - 86_400_000],
    ] as const) {
      await store.addJudgement({ kind: "remark", instrument: "U-1", madeAtMs, by: "Ada", why, ...note });
    }
    const entries = await store.trail.list({ action: "noted" }, all);
    assert.deepEqual(
      entries.map(({ after }) => JSON.parse(after!).why),
      ["first", "clock set back"],
    );
    assert.equal((await proveTrail(store.trail)).brokenAt, null);
    assert.equal(await store.trail.count({ about: "U-1" }), 2);
    const [latest] = await store.trail.list({}, { offset: 0, limit: 1, newestFirst: true });
    assert.equal(latest!.number, 4);
  });

  it("never forks, however many write at once", async () => {
    const store = await emptyStore();
    await ingest(store, writeFiles(UNITS));
    await Promise.all(Array.from({ length: 20 }, (_, i) => remark(store, `remark ${i}`)));
    assert.deepEqual(await proveTrail(store.trail).then(({ entries, brokenAt }) => [entries, brokenAt]), [
      22,
      null,
    ]);
  });

  it("goes along with a copy, link by link", async () => {
    const store = await emptyStore();
    await ingest(store, writeFiles(UNITS));
    await remark(store, "cleaned");
    const copy = await scratchStore();
    await copyStore(store, copy);
    assert.deepEqual(await proveTrail(copy.trail), await proveTrail(store.trail));
    await remark(copy, "and on");
    assert.equal((await proveTrail(copy.trail)).entries, 4);
  });

  it("cannot be changed, and shows where somebody did so all the same", async () => {
    const store = await emptyStore();
    await ingest(store, writeFiles(UNITS));
    for (const why of ["first", "second", "third"]) await remark(store, why);
    const change = "UPDATE trail SET who = 'nobody' WHERE number = 3";
    for (const statement of [change, "DELETE FROM trail"]) {
      await assert.rejects(inDatabase(store, [statement]), /never changed or removed/);
    }
    assert.equal((await proveTrail(store.trail)).brokenAt, null);
    await inDatabase(store, [...withoutGuard(store), change]);
    assert.equal((await proveTrail(store.trail)).brokenAt, 3);
  });

  it("shows an entry that was taken out, and with a hash kept elsewhere that its end was cut off", async () => {
    const store = await emptyStore();
    await ingest(store, writeFiles(UNITS));
    for (const why of ["first", "second", "third"]) await remark(store, why);
    const { head } = await proveTrail(store.trail);
    await inDatabase(store, [...withoutGuard(store), "DELETE FROM trail WHERE number = 5"]);
    assert.deepEqual(
      await proveTrail(store.trail, head).then(({ brokenAt, holdsGiven }) => [brokenAt, holdsGiven]),
      [null, false],
    );
    await inDatabase(store, ["DELETE FROM trail WHERE number = 3"]);
    assert.equal((await proveTrail(store.trail)).brokenAt, 3);
  });
});

/** As somebody does it who goes past the program. */
async function inDatabase({ location }: Store, statements: readonly string[]): Promise<void> {
  if (location.startsWith("sqlite:")) {
    const database = new DatabaseSync(location.slice("sqlite:".length));
    try {
      for (const statement of statements) database.exec(statement);
    } finally {
      database.close();
    }
    return;
  }
  const client = new pg.Client(location);
  await client.connect();
  try {
    await client.query("SET search_path TO springtide");
    for (const statement of statements) await client.query(statement);
  } finally {
    await client.end();
  }
}

function withoutGuard({ location }: Store): string[] {
  return location.startsWith("sqlite:")
    ? ["DROP TRIGGER trail_no_update", "DROP TRIGGER trail_no_delete"]
    : ["DROP TRIGGER trail_only_appended ON trail"];
}
