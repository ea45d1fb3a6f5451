import assert from "node:assert/strict";
import { appendFileSync, existsSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { setTimeout as wait } from "node:timers/promises";
import { beforeEach, describe, it, onTestFinished } from "vitest";
import { FinishedFiles } from "../../../dashboard/intake/finished-files.ts";
import { WatchedFolder } from "../../../dashboard/intake/watched-folder.ts";
import { openStore } from "../../../ingest/index.ts";
import { makeWorld, type World } from "./run-command.ts";

const HEADER = "instrument,checked_at,speed_rpm,full_scale_range_mpas,reading_mpas,fluid_value_mpas\n";
const row = (unit: string, reading = "95.6") => `${unit},2026-03-01T10:00:00Z,60,200,${reading},95\n`;

let world: World;
let folder: string;
beforeEach(() => {
  world = makeWorld("2026-04-01T12:00:00Z");
  onTestFinished(() => world.remove());
  folder = join(world.folder, "inbox");
  mkdirSync(folder);
});

const put = (name: string, text: string, into = folder) => writeFileSync(join(into, name), text);
const names = (place: string) => readdirSync(join(folder, place)).sort();

async function until(holds: () => boolean): Promise<void> {
  for (let i = 0; !holds(); i++) {
    assert.ok(i < 200, "waited for 10 seconds");
    await wait(50);
  }
}

async function watching(restMs = 0) {
  const store = await openStore(world.store);
  onTestFinished(() => store.close());
  const watched = new WatchedFolder({ store, folder, now: () => Date.parse("2026-04-01T12:00:00Z"), restMs });
  // A file must have been seen twice before it counts as finished.
  const look = async () => [...(await watched.look()), ...(await watched.look())];
  return { store, watched, look };
}

describe("springtide watch", () => {
  it("moves files to done/ or held/ beside their report, and stops when told to", async () => {
    put("units.csv", "instrument,usage\nU-1,daily\n");
    put("good.csv", HEADER + row("U-1"));
    put("mixed.csv", HEADER + row("U-2") + row("U-3", "abc"));
    put("letter.txt", "Dear all,");
    put("good.csv.part", HEADER);
    put(".hidden.csv", HEADER + row("U-9"));
    const outcome = await world.run(["watch", folder, "--rest", "0", "--json"], {
      whileServing: () => until(() => existsSync(join(folder, "held")) && names("held").length === 4),
    });
    assert.equal(outcome.exitCode, 0);
    assert.deepEqual(names("done"), [
      "good.csv",
      "good.csv.report.json",
      "units.csv",
      "units.csv.report.json",
    ]);
    assert.deepEqual(names("held"), [
      "letter.txt",
      "letter.txt.report.json",
      "mixed.csv",
      "mixed.csv.report.json",
    ]);
    assert.deepEqual(
      names("").filter((name) => !["done", "held", ".taking-in"].includes(name)),
      [".hidden.csv", "good.csv.part"],
    );
    const lines = outcome.out
      .trimEnd()
      .split("\n")
      .map((line) => JSON.parse(line) as { file: string; moved_to: string });
    assert.equal(lines.length, 4);
    assert.equal(
      lines.find(({ file }) => file === join(folder, "good.csv"))?.moved_to,
      join(folder, "done", "good.csv"),
    );
    const report = JSON.parse(readFileSync(join(folder, "held", "mixed.csv.report.json"), "utf8")) as object;
    assert.deepEqual(
      { ...report, read_as: null },
      {
        file: join(folder, "mixed.csv"),
        kind: "readings",
        rows: 2,
        accepted: 1,
        repeated: 0,
        quarantined: 1,
        flagged: 0,
        reasons: { "not-a-number": 1 },
        flags: {},
        first_held: [
          {
            reason: "not-a-number",
            line: 3,
            part: 0,
            message: '"abc" in reading_mpas is not a number written with a decimal point.',
          },
        ],
        notes: [],
        read_as: null,
        error: null,
      },
    );
  });

  it("says what is off with a call", async () => {
    assert.equal((await world.run(["watch", join(folder, "nowhere")])).exitCode, 1);
    assert.equal((await world.run(["watch", folder, "--rest", "soon"])).exitCode, 2);
    assert.match((await world.run(["watch", world.folder])).said.join(), /lies in the watched folder/);
  });
});

describe("a watched folder", () => {
  it("leaves a file that grows alone until it has come to rest", async () => {
    const finished = new FinishedFiles(folder, 1000);
    put("a.csv", HEADER);
    assert.deepEqual(await finished.look(0), []);
    assert.deepEqual(await finished.look(900), []);
    appendFileSync(join(folder, "a.csv"), row("U-1"));
    assert.deepEqual(await finished.look(1100), []);
    assert.deepEqual(await finished.look(2000), []);
    assert.deepEqual(await finished.look(2100), ["a.csv"]);
  });

  it("keeps every file where several have the same name", async () => {
    const { look, store } = await watching();
    for (const unit of ["U-1", "U-2", "U-3"]) {
      put("checks.csv", HEADER + row(unit));
      assert.equal((await look()).length, 1);
    }
    assert.deepEqual(
      names("done").filter((name) => !name.endsWith(".report.json")),
      ["checks-2.csv", "checks-3.csv", "checks.csv"],
    );
    assert.equal((await store.readings()).count, 3);
  });

  it("reads a file by its own profile, also for each of several watchers", async () => {
    put("a.profile.json", JSON.stringify({ units: { reading_mpas: "Pa.s" } }));
    put("a.csv", HEADER + row("U-1", "0.0956"));
    const { look } = await watching();
    const [taken] = await look();
    assert.equal(taken?.report.accepted, 1);
    assert.ok(existsSync(join(folder, "a.profile.json")));
  });

  it("gives each file to one of several watchers", async () => {
    const both = [await watching(), await watching()];
    for (let i = 0; i < 20; i++) put(`${i}.csv`, HEADER + row(`U-${i}`));
    const taken = (await Promise.all(both.map(({ look }) => look()))).flat();
    assert.equal(taken.length, 20);
    assert.equal(
      taken.reduce((sum, { report }) => sum + report.accepted, 0),
      20,
    );
    assert.equal(names("done").length, 40);
  });

  it("takes up what a process that died had claimed", async () => {
    const claims = join(folder, ".taking-in", "999999999-x");
    mkdirSync(claims, { recursive: true });
    put("a.csv", HEADER + row("U-1"), claims);
    put("a.profile.json", "{}", claims);
    put("a.csv", HEADER + row("U-2"));
    const { look, store } = await watching();
    assert.equal((await look()).length, 2);
    assert.equal((await store.readings()).count, 2);
    assert.deepEqual(names(".taking-in"), []);
  });
});
