import assert from "node:assert/strict";
import { existsSync } from "node:fs";
import { join } from "node:path";
import { DatabaseSync } from "node:sqlite";
import { setTimeout as wait } from "node:timers/promises";
import { describe, it } from "vitest";
import { openStore } from "../../ingest/index.ts";
import { contents, ingest, scratchFolder, scratchStore } from "../ingest/support/scratch.ts";
import { seededRandom } from "../support/random.ts";
import { startIntake } from "./start-intake.ts";
import { twentyFiles } from "./twenty-files.ts";

const KILLS = 100;
/** Two cores are the usual machine. */
const AT_ONCE = 2;

/** The files, and what a store holds that took them in at leisure. */
async function undisturbed() {
  const input = twentyFiles(scratchFolder());
  const store = await scratchStore();
  await ingest(store, input);
  return { input, expected: await contents(store) };
}

/** How long an intake lasts in a process of its own, from loading the program to its end. Unit: ms. */
async function duration(input: string): Promise<number> {
  const { loaded, done } = startIntake(`sqlite:${join(scratchFolder(), "store.sqlite")}`, input);
  await loaded;
  const begunAt = performance.now();
  await done;
  return performance.now() - begunAt;
}

describe("an intake that is killed", () => {
  it(`comes to the same store, row for row, after ${KILLS} kills at random moments`, {
    timeout: 300_000,
  }, async () => {
    const { input, expected } = await undisturbed();
    assert.ok(expected.readings.length > 400 && expected.quarantined.length > 50);
    const lasts = await duration(input);
    const next = seededRandom(20_260_401);
    const moments = Array.from({ length: KILLS }, () => next.uniform() * 1.1 * lasts);
    let struck = 0;
    const takeTurns = async () => {
      for (let moment = moments.pop(); moment !== undefined; moment = moments.pop()) {
        const file = join(scratchFolder(), "store.sqlite");
        const { child, loaded, done } = startIntake(`sqlite:${file}`, input);
        await loaded;
        await wait(moment);
        child.kill("SIGKILL");
        if ((await done) === null) struck++;
        if (existsSync(file)) assertWhole(file);
        const store = await openStore(`sqlite:${file}`);
        await ingest(store, input);
        assert.deepEqual(await contents(store), expected);
        await store.close();
      }
    };
    await Promise.all(Array.from({ length: AT_ONCE }, takeTurns));
    // The rest had ended before they were hit.
    assert.ok(struck > 0.6 * KILLS, `${struck} of ${KILLS} were hit while at work`);
  });

  it("and so it does where two processes are at work on the same files at once", async () => {
    const { input, expected } = await undisturbed();
    for (let round = 0; round < 3; round++) {
      const url = `sqlite:${join(scratchFolder(), "store.sqlite")}`;
      const both = [startIntake(url, input), startIntake(url, input)];
      const [one, two] = await Promise.all(both.map(({ done }) => done));
      const readings = expected.readings.length;
      // Registers too are taken in once each: nine units, two lots, one service.
      assert.equal(one!.totals.accepted + two!.totals.accepted, readings + 12);
      for (const { rows, accepted, repeated, quarantined } of [one!.totals, two!.totals]) {
        assert.equal(rows, accepted + repeated + quarantined);
      }
      const store = await openStore(url);
      assert.deepEqual(await contents(store), expected);
      await store.close();
    }
  });
});

/** Whether the database is sound, and every file's readings are all there. */
function assertWhole(file: string): void {
  const database = new DatabaseSync(file);
  try {
    assert.equal(database.prepare("PRAGMA integrity_check").get()?.integrity_check, "ok");
    assert.deepEqual(database.prepare("PRAGMA foreign_key_check").all(), []);
    const { tables } = database
      .prepare("SELECT count(*) AS tables FROM sqlite_schema WHERE name = 'file'")
      .get()!;
    if (tables === 0) return;
    const halves = database
      .prepare(
        `SELECT file.file FROM file LEFT JOIN reading ON file_id = file.id WHERE kind = 'readings'
         GROUP BY file.id HAVING count(file_id) <> accepted`,
      )
      .all();
    assert.deepEqual(halves, []);
  } finally {
    database.close();
  }
}
