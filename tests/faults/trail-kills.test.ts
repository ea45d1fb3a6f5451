import assert from "node:assert/strict";
import { spawn } from "node:child_process";
import { once } from "node:events";
import { existsSync, readdirSync, utimesSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as wait } from "node:timers/promises";
import { fileURLToPath } from "node:url";
import { describe, it, onTestFinished } from "vitest";
import { backUp, openStore, proveTrail, type Store } from "../../ingest/index.ts";
import { DATABASES } from "../ingest/support/databases.ts";
import { contents, ingest, scratchFolder, scratchStore } from "../ingest/support/scratch.ts";
import { seededRandom } from "../support/random.ts";
import { assertWhole } from "./assert-whole.ts";
import { startIntake } from "./start-intake.ts";
import { twentyFiles } from "./twenty-files.ts";

const BACKUP = fileURLToPath(new URL("./backup-process.ts", import.meta.url));
const KILLS = 5;

async function opened(url: string): Promise<Store> {
  const store = await openStore(url, { create: false });
  onTestFinished(() => store.close());
  return store;
}

/** Starts a backup, and kills it so long after it was loaded. @returns Whether it was hit before its end. */
async function backUpAndKill(url: string, file: string, afterMs: number): Promise<boolean> {
  const child = spawn(process.execPath, [BACKUP, url, file], {
    stdio: ["ignore", "pipe", "inherit"],
    env: { ...process.env, NODE_COMPILE_CACHE: join(tmpdir(), "springtide-compile-cache") },
  });
  const closed = once(child, "close");
  await once(child.stdout, "data");
  await Promise.race([wait(afterMs), closed]);
  child.kill("SIGKILL");
  await closed;
  return child.signalCode === "SIGKILL";
}

describe.each(DATABASES)("killed at random moments, %s", (_, emptyStore) => {
  it("a backup is whole or not there", { timeout: 60_000 }, async () => {
    const store = await emptyStore();
    await ingest(store, twentyFiles(scratchFolder()));
    const expected = await contents(store);
    const begunAt = performance.now();
    await backUp(store, join(scratchFolder(), "b.sqlite"));
    const lasts = performance.now() - begunAt;
    const next = seededRandom(20_261_125);
    let struck = 0;
    const folder = scratchFolder();
    for (let i = 0; i < KILLS; i++) {
      const file = join(folder, `${i}.sqlite`);
      if (await backUpAndKill(store.location, file, next.uniform() * 1.2 * lasts)) struck++;
      if (!existsSync(file)) continue;
      const copy = await opened(`sqlite:${file}`);
      assert.deepEqual(await contents(copy), expected);
      assert.equal((await proveTrail(copy.trail)).brokenAt, null);
    }
    assert.ok(struck > 1, `${struck} of ${KILLS} were hit while at work`);
    // The next one to the same file goes through, and clears away what is left of one that was killed days ago.
    const old = join(folder, "again.sqlite.0000.part");
    writeFileSync(old, "half");
    utimesSync(old, 1e9, 1e9);
    const fresh = join(folder, "again.sqlite.1111.part");
    writeFileSync(fresh, "somebody is at it");
    await backUp(store, join(folder, "again.sqlite"));
    assert.ok(!existsSync(old) && existsSync(fresh));
    assert.ok(readdirSync(folder).includes("again.sqlite.sha256"));
    assert.deepEqual(await contents(await opened(`sqlite:${join(folder, "again.sqlite")}`)), expected);
  });

  it("an intake has each file that is in on the trail, and no other", { timeout: 60_000 }, async () => {
    const input = twentyFiles(scratchFolder());
    const whole = await scratchStore();
    await ingest(whole, input);
    const store = await emptyStore();
    const next = seededRandom(8);
    let struck = 0;
    for (let i = 0; i < KILLS; i++) {
      const { child, loaded, done } = startIntake(store.location, input);
      await loaded;
      await wait(50 + next.uniform() * 200);
      child.kill("SIGKILL");
      if ((await done) === null) struck++;
      await assertWhole(store);
    }
    assert.ok(struck > 1, `${struck} of ${KILLS} were hit while at work`);
    await ingest(store, input);
    await assertWhole(store);
    assert.deepEqual(await contents(store), await contents(whole));
    assert.equal(await store.trail.count({ action: "took-in" }), 20);
  });
});
