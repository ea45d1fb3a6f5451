import assert from "node:assert/strict";
import { mkdirSync, writeFileSync } from "node:fs";
import { createServer } from "node:net";
import { join } from "node:path";
import { afterAll, beforeAll, describe, it } from "vitest";
import { demoFleet } from "../../../dashboard/demo/demo-fleet.ts";
import { writeFleet } from "../../../dashboard/demo/fleet-files.ts";
import { makeWorld, type World } from "./run-command.ts";

const AS_OF = "2026-03-31";
const UNITS = 24;

describe("the commands on an invented fleet", () => {
  let world: World;
  beforeAll(async () => {
    world = makeWorld(`${AS_OF}T12:00:00Z`);
    writeFleet(join(world.folder, "files"), demoFleet({ asOf: AS_OF, units: UNITS, seed: 4, years: 2 }), {
      forms: "as-sent",
    });
    const { exitCode } = await world.run(["ingest", join(world.folder, "files")]);
    assert.equal(exitCode, 0);
  });
  afterAll(() => world.remove());

  it("ingest says that a folder sent twice changes nothing", async () => {
    const again = JSON.parse((await world.run(["ingest", "--json", join(world.folder, "files")])).out);
    assert.equal(again.totals.accepted, 0);
    assert.equal(again.totals.rows, again.totals.accepted + again.totals.repeated + again.totals.quarantined);
  });

  it("forecast lists every registered unit, the likeliest first, in the words of the contract", async () => {
    const { exitCode, out } = await world.run(["forecast", "--json", "--as-of", AS_OF]);
    const report = JSON.parse(out);
    assert.equal(exitCode, 0);
    assert.equal(report.as_of, AS_OF);
    assert.equal(report.units.length, UNITS);
    const chances = report.units.map((u: { p_out_before_service: number | null }) => u.p_out_before_service);
    const judged = chances.filter((p: number | null) => p !== null);
    assert.deepEqual(
      judged,
      [...judged].sort((a: number, b: number) => b - a),
    );
    assert.deepEqual(chances.slice(0, judged.length), judged, "units that cannot be judged come last");
    for (const unit of report.units) {
      assert.match(unit.state, /^(steady|leaning|heading-out|out|unjudged)$/);
      if (unit.state === "unjudged") continue;
      assert.deepEqual(Object.keys(unit.bands), ["low", "medium", "high"]);
      assert.ok(unit.p_out_now <= unit.p_out_before_service + 1e-12);
    }
  });

  it("forecast without --json begins with a sentence and warns that it is no conformity", async () => {
    const { out } = await world.run(["forecast", "--as-of", AS_OF]);
    assert.match(out, /^As of 31 Mar 2026: /);
    assert.match(out, /not a statement of conformity/);
  });

  it("forecast as of an earlier day does not look at later checks", async () => {
    const { out } = await world.run(["forecast", "--json", "--as-of", "2025-06-30"]);
    for (const unit of JSON.parse(out).units) {
      if (unit.last_check !== null) assert.ok(unit.last_check <= "2025-06-30", unit.last_check);
    }
  });

  it("unit tells one unit in full, for people and for programs", async () => {
    const report = JSON.parse((await world.run(["forecast", "--json", "--as-of", AS_OF])).out);
    const instrument = report.units[0].instrument;
    const words = await world.run(["unit", instrument, "--as-of", AS_OF]);
    assert.equal(words.exitCode, 0);
    assert.ok(words.out.startsWith(instrument));
    assert.match(words.out, /Do next:/);
    const figures = JSON.parse((await world.run(["unit", instrument, "--json", "--as-of", AS_OF])).out);
    assert.equal(figures.p_out_before_service, report.units[0].p_out_before_service);
    assert.ok(figures.readings.length > 0);
  });

  it("fluids lists every lot that was used, and every bath", async () => {
    const { out } = await world.run(["fluids", "--json", "--as-of", AS_OF]);
    const { lots, baths } = JSON.parse(out);
    assert.ok(lots.length > 0 && baths.length > 0);
    for (const lot of lots) assert.match(lot.verdict, /^(sound|doubtful|unsound|unjudged)$/);
  });

  it("serve prints the address, answers there, and is gone when it is stopped", async () => {
    let address = "";
    const { exitCode } = await world.run(["serve", "--port", "0", "--as-of", AS_OF], {
      whileServing: async (out) => {
        address = /http:\S+/.exec(out)?.[0] ?? "";
        const page = await fetch(address);
        assert.equal(page.status, 200);
        assert.match(await page.text(), /Springtide/);
      },
    });
    assert.equal(exitCode, 0);
    assert.match(address, /^http:\/\/127\.0\.0\.1:\d+\/$/);
    await assert.rejects(fetch(address));
  });

  it("demo does not mix invented data into a store that holds any", async () => {
    const { exitCode, said } = await world.run(["demo", "--store", world.store, "--port", "0"]);
    assert.equal(exitCode, 1);
    assert.match(said.at(-1) ?? "", /already holds data/);
  });

  it("a port in use is named, with the way out", async () => {
    const other = createServer();
    await new Promise<void>((resolve) => other.listen(0, "127.0.0.1", resolve));
    const taken = (other.address() as { port: number }).port;
    try {
      const { exitCode, said } = await world.run(["serve", "--port", String(taken)]);
      assert.equal(exitCode, 1);
      assert.match(said.at(-1) ?? "", new RegExp(`${taken}.*--port`));
    } finally {
      other.close();
    }
  });
});

describe("what the commands say to a call that cannot be done", () => {
  let world: World;
  beforeAll(() => {
    world = makeWorld(`${AS_OF}T12:00:00Z`);
  });
  afterAll(() => world.remove());

  const refused: readonly (readonly [string, readonly string[], number, RegExp])[] = [
    ["an unknown command", ["frobnicate"], 2, /unknown command/],
    ["an unknown option", ["forecast", "--loud"], 2, /unknown option/],
    ["no path", ["ingest"], 2, /path/],
    ["a day that does not exist", ["forecast", "--as-of", "2026-02-30"], 2, /2026-02-30/],
    ["a day in another style", ["forecast", "--as-of", "31.03.2026"], 2, /like 2026-03-31/],
    ["a port that is none", ["serve", "--port", "eighty"], 2, /eighty/],
    ["a store that is not there", ["forecast"], 1, /ingest/],
    ["a store of a kind unknown", ["forecast", "--store", "oracle:x"], 2, /sqlite:FILE/],
  ];
  it.each(refused)("%s", async (_, words, exitCode, line) => {
    const outcome = await world.run(words);
    assert.equal(outcome.exitCode, exitCode);
    assert.equal(outcome.out, "");
    assert.match(outcome.said.join("\n"), line);
  });

  it("a path that is not there, a folder without files, a file of another kind", async () => {
    const empty = join(world.folder, "empty");
    mkdirSync(empty);
    const other = join(world.folder, "recipe.csv");
    writeFileSync(other, "flour,water\n500,300\n");
    for (const [path, line] of [
      [join(world.folder, "nowhere.csv"), /nowhere\.csv/],
      [empty, /empty/],
      [other, /recipe\.csv/],
    ] as const) {
      const { exitCode, said } = await world.run(["ingest", path]);
      assert.equal(exitCode, 1, path);
      assert.match(said.join("\n"), line);
    }
  });

  it("a file that is no store of ours is left as it is", async () => {
    const letter = join(world.folder, "letter.txt");
    writeFileSync(letter, "Dear reader");
    const { exitCode, said } = await world.run(["forecast", "--store", `sqlite:${letter}`]);
    assert.equal(exitCode, 1);
    assert.match(said.join("\n"), /letter\.txt/);
  });

  it("a store without units is said to hold none", async () => {
    const readings = join(world.folder, "services.csv");
    writeFileSync(readings, "instrument,serviced_at,action\nA-1,2025-01-07,adjusted\n");
    await world.run(["ingest", readings]);
    const { exitCode, said, out } = await world.run(["unit", "B-2"]);
    assert.equal(exitCode, 1, out);
    assert.match(said.join("\n"), /B-2|no units/);
  });
});
