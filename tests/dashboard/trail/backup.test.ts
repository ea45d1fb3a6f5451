import assert from "node:assert/strict";
import { existsSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { setTimeout as wait } from "node:timers/promises";
import { afterEach, beforeEach, describe, it } from "vitest";
import { scratchDatabase } from "../../support/scratch-database.ts";
import { makeWorld, type World } from "../commands/run-command.ts";

const UNITS = "instrument,usage,site\nU-1,daily,North\n";
const MORE = "instrument,usage,site\nU-2,daily,North\n";

/** A server looks at the fleet anew in a thread of its own; on a busy machine that takes its time. */
const PATIENCE_MS = 60_000;

describe("springtide backup and restore", () => {
  let world: World;
  beforeEach(async () => {
    world = makeWorld("2026-04-01T12:00:00Z");
    writeFileSync(join(world.folder, "units.csv"), UNITS);
    writeFileSync(join(world.folder, "more.csv"), MORE);
    await world.run(["ingest", join(world.folder, "units.csv")]);
  });
  afterEach(() => world.remove());

  const unitsIn = async (store = world.store) => {
    const { out } = await world.run(["forecast", "--store", store, "--json"]);
    return (JSON.parse(out) as { units: { instrument: string }[] }).units.map(({ instrument }) => instrument);
  };
  const done = async (...words: string[]) => {
    const outcome = await world.run(words);
    assert.equal(outcome.exitCode, 0, outcome.said.join());
    return outcome.out;
  };

  it("carries a file over into a server and back, trail and all", async () => {
    const file = join(world.folder, "b.sqlite");
    const made = await done("backup", file);
    assert.match(
      made,
      /b\.sqlite: \d+ rows, each compared; 2 entries on the trail\.\nSHA-256 [0-9a-f]{64}\n$/,
    );
    const server = await scratchDatabase();
    assert.match(
      await done("restore", file, "--store", server),
      /^\d+ rows from .*b\.sqlite restored, each compared\./,
    );
    const back = join(world.folder, "back.sqlite");
    const report = JSON.parse(await done("backup", back, "--store", server, "--json")) as Record<
      string,
      unknown
    >;
    assert.equal((report.trail as { entries: number }).entries, 3);
    const again = `sqlite:${join(world.folder, "again.sqlite")}`;
    await done("restore", back, "--store", again);
    assert.deepEqual(await unitsIn(again), ["U-1"]);
    const { head } = report.trail as { head: string };
    await done("trail", "verify", "--store", again, "--against", head);
  });

  it("says in one line what stands against it", async () => {
    const file = join(world.folder, "b.sqlite");
    await done("backup", file);
    for (const [words, fault] of [
      [["backup", file], /is there already: name another file, or say --force\.$/],
      [["backup", join(world.folder, "no", "b.sqlite")], /cannot be written \(ENOENT\)/],
      [["restore", file], /holds something already: name an empty one, or say --in-place/],
      [["restore", join(world.folder, "none.sqlite")], /none\.sqlite cannot be read/],
      [["restore", join(world.folder, "units.csv"), "--in-place"], /is no backup of a store/],
    ] as const) {
      const { exitCode, out, said } = await world.run(words);
      assert.deepEqual([exitCode, out, said.length], [1, "", 1], words.join(" "));
      assert.match(said[0]!, fault);
    }
    assert.ok(existsSync(file));
    await done("backup", file, "--force");
  });

  it("takes the place of a store that is being served: the server shows what is there now, and takes in more", {
    timeout: 3 * PATIENCE_MS,
  }, async () => {
    const file = join(world.folder, "b.sqlite");
    await done("backup", file);
    await done("ingest", join(world.folder, "more.csv"));
    await world.run(["serve", "--port", "0", "--as-of", "2026-04-01"], {
      whileServing: async (out) => {
        const url = /http:\S+/.exec(out)![0];
        const shown = async () => {
          const answer = await fetch(`${url}units?format=json`);
          return ((await answer.json()) as { units: { instrument: string }[] }).units.map(
            ({ instrument }) => instrument,
          );
        };
        const until = async (expected: readonly string[]) => {
          const givenUpAt = Date.now() + PATIENCE_MS;
          let seen = await shown();
          while (seen.join() !== expected.join() && Date.now() < givenUpAt) {
            await wait(100);
            seen = await shown();
          }
          assert.deepEqual(seen, expected);
        };
        await until(["U-1", "U-2"]);
        const said = await done("restore", file, "--in-place");
        assert.match(said, /What the store held before is in .*b-before-restore-20260401T120000Z\.sqlite\./);
        await until(["U-1"]);
        const sent = await fetch(`${url}api/intake?name=more.csv`, {
          method: "POST",
          headers: { "content-type": "text/csv" },
          body: readFileSync(join(world.folder, "more.csv")),
        });
        assert.ok(sent.ok, String(sent.status));
        await until(["U-1", "U-2"]);
      },
    });
    const { entries } = JSON.parse(await done("trail", "--json")) as {
      entries: { action: string; way: string }[];
    };
    assert.deepEqual(
      entries.map(({ action }) => action),
      ["began", "took-in", "took-in", "restored", "took-in"],
    );
    assert.equal(entries.at(-1)!.way, "api");
    await done("trail", "verify");
    assert.ok(readdirSync(world.folder).includes("b-before-restore-20260401T120000Z.sqlite.sha256"));
  });
});
