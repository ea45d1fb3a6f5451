import assert from "node:assert/strict";
import { spawn } from "node:child_process";
import { once } from "node:events";
import { writeFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { DatabaseSync } from "node:sqlite";
import { setTimeout as wait } from "node:timers/promises";
import { describe, it, onTestFinished } from "vitest";
import { openStore, StoreError } from "../../../ingest/index.ts";
import { contents, ingest, NOW, scratchFolder, scratchStore, writeFiles } from "../support/scratch.ts";

const HEADER = "instrument,checked_at,speed_rpm,full_scale_range_mpas,reading_mpas,fluid_value_mpas\n";

/** A folder of files with so many readings each, every file sharing some with the one before it. */
function manyFiles(count: number, rows: number, shared: number): string {
  const row = (i: number) => `U-1,${new Date(NOW - i * 60_000).toISOString()},60,200,95.6,95\n`;
  const files = Array.from({ length: count }, (_, file) => [
    `${file}.csv`,
    HEADER + Array.from({ length: rows }, (_, i) => row(file * (rows - shared) + i)).join(""),
  ]);
  return writeFiles(Object.fromEntries(files));
}

/** Starts an intake in a process of its own; its first line says that the store is open, the second what it came to. */
function startIntake(url: string, input: string) {
  const script = join(scratchFolder(), "run.mjs");
  writeFileSync(
    script,
    `import { ingestPaths, openStore } from ${JSON.stringify(resolve("ingest/index.ts"))};
     const store = await openStore(process.argv[2]);
     console.log("open");
     const { totals } = await ingestPaths(store, [process.argv[3]], { now: () => ${NOW} });
     console.log(JSON.stringify(totals));`,
  );
  return spawn(process.execPath, [script, url, input], { stdio: ["ignore", "pipe", "inherit"] });
}

describe("a store that another process writes", () => {
  it("is waited for, with a word; where nothing moves it is given up, and is usable afterwards", async () => {
    const folder = scratchFolder();
    await scratchStore(folder);
    let waits = 0;
    const url = `sqlite:${join(folder, "store.sqlite")}`;
    const store = await openStore(url, { patienceMs: 1500, onWait: () => waits++ });
    onTestFinished(() => store.close());
    const input = manyFiles(1, 1, 0);
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

  it("takes every reading once where two processes bring the same", async () => {
    const url = `sqlite:${join(scratchFolder(), "shared.sqlite")}`;
    const input = manyFiles(4, 1000, 300);
    const totals = async () => {
      const child = startIntake(url, input);
      const said: string[] = [];
      child.stdout.on("data", (piece) => said.push(String(piece)));
      await once(child, "close");
      return JSON.parse(said.join("").split("\n")[1]!) as {
        rows: number;
        accepted: number;
        repeated: number;
      };
    };
    const [one, two] = await Promise.all([totals(), totals()]);
    for (const { rows, accepted, repeated } of [one, two]) assert.equal(rows, accepted + repeated);
    assert.equal(one.accepted + two.accepted, 3100);
    const store = await openStore(url);
    assert.equal((await store.readings()).count, 3100);
    await store.close();
  });
});

describe("an intake that is killed", () => {
  it("leaves the store as it was before a file, or after it, and can be taken up again", async () => {
    const input = manyFiles(6, 2000, 0);
    const undisturbed = await scratchStore();
    await ingest(undisturbed, input);

    const url = `sqlite:${join(scratchFolder(), "killed.sqlite")}`;
    for (const delayMs of [30, 150, 300]) {
      const child = startIntake(url, input);
      await once(child.stdout, "data");
      await wait(delayMs);
      child.kill("SIGKILL");
      await once(child, "exit");
      const store = await openStore(url);
      assert.equal((await store.readings()).count, 2000 * (await store.files()).length);
      await store.close();
    }
    const store = await openStore(url);
    await ingest(store, input);
    assert.deepEqual(await contents(store), await contents(undisturbed));
    await store.close();
  });
});
