import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { readdirSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import pg from "pg";
import { describe, it, onTestFinished } from "vitest";
import { openStore, type Store, StoreError } from "../../ingest/index.ts";
import { contents, ingest, scratchFolder, scratchStore } from "../ingest/support/scratch.ts";
import { scratchDatabase } from "../support/scratch-database.ts";
import { assertWhole } from "./assert-whole.ts";
import { twentyFiles } from "./twenty-files.ts";

const SPRINGTIDE = fileURLToPath(new URL("../../dashboard/springtide.mjs", import.meta.url));
const REMARKS = fileURLToPath(new URL("./remarks-process.ts", import.meta.url));

/**
 * Runs a program that may make no file larger than so much: what a full disk and a used up quota come to.
 *
 * @param mostKiB Of each file. Unit: KiB.
 */
function runInRoom(mostKiB: number, ...words: string[]) {
  // `ulimit` of a POSIX shell counts in blocks of 512 bytes.
  const limited = ["-c", 'ulimit -f "$0"; exec "$@"', String(2 * mostKiB), process.execPath, ...words];
  const { status, stdout, stderr } = spawnSync("sh", limited, { encoding: "utf8" });
  return { status, out: stdout, said: stderr };
}

async function reopened(url: string): Promise<Store> {
  const store = await openStore(url);
  onTestFinished(() => store.close());
  return store;
}

describe("a disk that is full", () => {
  it("ends an intake in one line; what was taken in before stays, and the rest comes in later", async () => {
    const input = twentyFiles(scratchFolder());
    const whole = await scratchStore();
    await ingest(whole, input);
    for (const mostKiB of [600, 1500]) {
      const url = `sqlite:${join(scratchFolder(), "store.sqlite")}`;
      await (await openStore(url)).close();
      const { status, said } = runInRoom(mostKiB, SPRINGTIDE, "ingest", input, "--store", url);
      assert.equal(status, 1, said);
      assert.match(said.trim().split("\n").at(-1)!, /^springtide: The disk (is full|takes nothing more)/);
      const store = await reopened(url);
      await assertWhole(store);
      const came = (await store.files()).length;
      assert.ok(came > 1 && came < 20, `${came} of 20 files`);
      await ingest(store, input);
      assert.deepEqual(await contents(store), await contents(whole));
      await assertWhole(store);
    }
  }, 60_000);

  it("refuses a remark; those before it stay, and the store goes on being read", async () => {
    const store = await scratchStore();
    await ingest(store, twentyFiles(scratchFolder()));
    const { instrument } = (await store.instruments())[0]!;
    await store.close();
    const { status, out, said } = runInRoom(2000, REMARKS, store.location, instrument);
    assert.equal(status, 0, said);
    const { kept, stillThere, code } = JSON.parse(out) as Record<string, number | string>;
    assert.equal(code, "disk-full");
    assert.ok(Number(kept) > 3, `${kept} were kept`);
    assert.equal(stillThere, kept);
    const after = await reopened(store.location);
    await assertWhole(after);
    assert.equal(await after.trail.count({ action: "noted" }), kept);
    assert.equal((await after.judgements()).length, kept);
  });

  it("leaves nothing of a backup that it has no room for", async () => {
    const store = await scratchStore();
    await ingest(store, twentyFiles(scratchFolder()));
    const folder = scratchFolder();
    const file = join(folder, "b.sqlite");
    const { status, said } = runInRoom(200, SPRINGTIDE, "backup", file, "--store", store.location);
    assert.equal(status, 1);
    assert.match(
      said,
      /^springtide: There is no room for the backup .*b\.sqlite: nothing was left of it\.\n$/,
    );
    assert.deepEqual(readdirSync(folder), []);
  });

  it("as PostgreSQL tells it, undoes the file that is being taken in, its entry of the trail and all", async () => {
    const url = await scratchDatabase();
    const store = await reopened(url);
    const input = twentyFiles(scratchFolder());
    await ingest(store, join(input, readdirSync(input).sort()[0]!));
    const before = await contents(store);
    const client = new pg.Client(url);
    await client.connect();
    onTestFinished(() => client.end());
    for (const table of ["reading", "trail"]) {
      // The words and the number with which the server itself says so (class 53, disk_full).
      await client.query(
        `CREATE FUNCTION springtide.full_${table}() RETURNS trigger LANGUAGE plpgsql AS
         $$ BEGIN RAISE EXCEPTION 'could not extend file: No space left on device' USING ERRCODE = '53100'; END $$;
         CREATE TRIGGER full_${table} BEFORE INSERT ON springtide.${table} EXECUTE FUNCTION springtide.full_${table}()`,
      );
      await assert.rejects(
        ingest(store, input),
        (error) =>
          error instanceof StoreError &&
          error.code === "disk-full" &&
          /disk of PostgreSQL/.test(error.message),
      );
      await client.query(`DROP TRIGGER full_${table} ON springtide.${table}`);
      await assertWhole(store);
      if (table === "trail") assert.ok((await contents(store)).readings.length >= before.readings.length);
    }
    await ingest(store, input);
    await assertWhole(store);
  });
});
