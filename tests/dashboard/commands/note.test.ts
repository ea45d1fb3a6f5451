import assert from "node:assert/strict";
import { join } from "node:path";
import { afterAll, beforeAll, describe, it } from "vitest";
import { demoFleet } from "../../../dashboard/demo/demo-fleet.ts";
import { writeFleet } from "../../../dashboard/demo/fleet-files.ts";
import { makeWorld, type World } from "./run-command.ts";

const AS_OF = "2026-03-31";

interface Reading {
  readonly checked_on: string;
  readonly speed_rpm: number;
  readonly used: boolean;
}

describe("springtide note", () => {
  let world: World;
  let unit: string;
  let day: string;
  beforeAll(async () => {
    world = makeWorld(`${AS_OF}T12:00:00Z`);
    const fleet = demoFleet({ asOf: AS_OF, units: 12, seed: 21, years: 1 });
    writeFleet(join(world.folder, "files"), fleet, { forms: "as-sent" });
    await world.run(["ingest", join(world.folder, "files")]);
    const { units } = JSON.parse((await world.run(["forecast", "--json"])).out);
    // One whose present life goes on when a check of it is set aside.
    unit = units.find(
      (u: { rests_on: { checks_used: number } | null }) => (u.rests_on?.checks_used ?? 0) >= 4,
    ).instrument;
    const { readings } = await page();
    // A day of the present life with one check that is used.
    day = readings.find(({ checked_on, used }: Reading) => {
      const sameDay = readings.filter((r: Reading) => r.checked_on === checked_on);
      return used && new Set(sameDay.map((r: { check: number }) => r.check)).size === 1;
    }).checked_on;
  });
  afterAll(() => world.remove());

  const page = async (...words: string[]) =>
    JSON.parse((await world.run(["unit", unit, "--json", ...words])).out);
  const ofDay = (readings: readonly Reading[]) => readings.filter((r) => r.checked_on === day);

  it("sets a check aside: figures follow, the readings stay, and undoing brings everything back", async () => {
    const before = await page();
    const words = [
      "note",
      "set-aside",
      unit,
      "--check",
      day,
      "--why",
      "wrong cup",
      "--by",
      "K. Thal",
      "--json",
    ];
    const note = JSON.parse((await world.run(words)).out);
    assert.deepEqual(
      [note.kind, note.instrument, note.by, note.why],
      ["set-aside", unit, "K. Thal", "wrong cup"],
    );

    const aside = await page();
    assert.equal(aside.readings.length, before.readings.length);
    assert.ok(ofDay(aside.readings).every(({ used }) => !used));
    assert.notDeepEqual(aside.linearity.this_life, before.linearity.this_life);
    assert.match(
      (await world.run(["unit", unit])).out,
      /Set aside the check of .*: wrong cup \(K\. Thal, 31 Mar 2026\)\./,
    );
    // The note was made today: yesterday's view does not know it.
    assert.deepEqual((await page("--as-of", "2026-03-30")).notes, []);

    const undo = await world.run(["note", "undo", String(note.id), "--why", "it was the right one"]);
    assert.equal(undo.exitCode, 0);
    const after = await page();
    assert.deepEqual(after.readings, before.readings);
    assert.deepEqual(after.linearity, before.linearity);
    assert.equal(after.notes.length, 1, "the note stays on record");
    assert.match((await world.run(["note", "list", unit])).out, /taken back: it was the right one/);
    const again = await world.run(["note", "undo", String(note.id), "--why", "twice"]);
    assert.deepEqual([again.exitCode, again.said.length], [1, 1]);
  });

  it("sets one reading aside by its speed", async () => {
    const readings = ofDay((await page()).readings);
    const speed = readings[0]!.speed_rpm;
    await world.run([
      "note",
      "set-aside",
      unit,
      "--check",
      day,
      "--speed",
      String(speed),
      "--why",
      "a bubble",
    ]);
    for (const reading of ofDay((await page()).readings)) {
      assert.equal(
        reading.used,
        reading.speed_rpm !== speed && readings.find((r) => r.speed_rpm === reading.speed_rpm)!.used,
      );
    }
    const bad = await world.run([
      "note",
      "set-aside",
      unit,
      "--check",
      day,
      "--speed",
      "12345",
      "--why",
      "x",
    ]);
    assert.match(bad.said.join(), /no reading at 12345 /);
  });

  it("keeps remarks and causes by day, and lists them for one unit or all", async () => {
    await world.run([
      "note",
      "remark",
      unit,
      "--on",
      "2026-02-01",
      "--why",
      "moved to the other bench",
      "--by",
      "MW",
    ]);
    await world.run([
      "note",
      "cause",
      unit,
      "--on",
      "2026-02-02",
      "--why",
      "the cup was changed",
      "--by",
      "MW",
    ]);
    const { out } = await world.run(["note", "list", unit]);
    assert.match(out, /Remark on 1 Feb 2026: moved to the other bench \(MW, 31 Mar 2026\)\./);
    assert.match(out, /Cause of the step about 2 Feb 2026: the cup was changed/);
    assert.equal((await world.run(["note", "list", "nobody"])).out, "There are no notes.\n");
  });

  it("fits limits anew from a day on: the charts begin there, and an undone note brings the old ones back", async () => {
    const limitsOf = async () => {
      const { watch } = await page();
      return watch.map((chart: { quantity: string; baseline: { from: string } | null }) => [
        chart.quantity,
        chart.baseline,
      ]);
    };
    const chartedFrom = async () => {
      const { watch } = await page();
      return watch
        .flatMap((chart: { points: readonly { on: string }[] }) => chart.points.map(({ on }) => on))
        .sort()[0];
    };
    const [before, first] = [await limitsOf(), await chartedFrom()];
    const days = (await page()).readings.map(({ checked_on }: Reading) => checked_on).sort();
    const on = days.at(-1);
    assert.ok(first < on);
    const words = ["note", "baseline", unit, "--on", on, "--why", "new stand", "--by", "MW", "--json"];
    const note = JSON.parse((await world.run(words)).out);
    assert.deepEqual([note.kind, note.instrument, note.why], ["baseline", unit, "new stand"]);
    assert.equal(await chartedFrom(), on);
    await world.run(["note", "undo", String(note.id), "--why", "the stand went back", "--by", "MW"]);
    assert.deepEqual(await limitsOf(), before);
    assert.equal(await chartedFrom(), first);
    assert.match((await world.run(["note", "baseline", unit, "--why", "x"])).said.join(), /--on/);
  });

  it("says in one line what does not exist", async () => {
    const refused: readonly (readonly [string[], number, RegExp])[] = [
      [["remark", "nobody", "--on", "2026-02-01", "--why", "x"], 1, /no unit "nobody"/],
      [["remark", unit, "--on", "1 Feb", "--why", "x"], 2, /--on takes a date/],
      [["remark", unit, "--on", "2026-02-01", "--why", " "], 2, /must not be empty/],
      [["set-aside", unit, "--check", "1999-01-01", "--why", "x"], 1, /has no check at 1999-01-01/],
      [["undo", "999", "--why", "x"], 1, /no note 999/],
    ];
    for (const [words, exitCode, expected] of refused) {
      const outcome = await world.run(["note", ...words]);
      assert.equal(outcome.exitCode, exitCode);
      assert.equal(outcome.said.length, 1);
      assert.match(outcome.said[0]!, expected);
    }
  });
});

describe("springtide unit, lines side by side", () => {
  let world: World;
  let unit: string;
  beforeAll(async () => {
    world = makeWorld(`${AS_OF}T12:00:00Z`);
    const fleet = demoFleet({ asOf: AS_OF, units: 8, seed: 22, years: 2 });
    writeFleet(join(world.folder, "files"), fleet, { forms: "plain" });
    await world.run(["ingest", join(world.folder, "files")]);
    const { units } = JSON.parse((await world.run(["forecast", "--json"])).out);
    for (const { instrument } of units) {
      const { linearity } = JSON.parse((await world.run(["unit", instrument, "--json"])).out);
      if (linearity.lives.length > 1 && linearity.as_found !== null) unit = instrument;
    }
  });
  afterAll(() => world.remove());

  it("has the lives beside each other, and as found beside as left", async () => {
    const { out } = await world.run(["unit", unit]);
    assert.match(out, /side by side, % of full scale/);
    assert.match(out, /present life .*\n.* to .* 20\d\d /);
    assert.match(out, /as found before it/);
    const { lines } = JSON.parse((await world.run(["unit", unit, "--json"])).out);
    assert.equal(lines[0].of, unit);
    assert.ok(lines.length > 1 && lines[1].to <= lines[0].from);
    assert.ok(lines[1].zero_against_first_p >= 0 && lines[1].zero_against_first_p <= 1);
  });

  it("takes a line between two days, beside the present life", async () => {
    const whole = JSON.parse((await world.run(["unit", unit, "--json"])).out).lines[0];
    const words = ["unit", unit, "--json", "--from", "2024-06-01", "--to", "2025-06-30"];
    const { lines } = JSON.parse((await world.run(words)).out);
    assert.deepEqual(lines[0], whole);
    assert.equal(lines.length, 2);
    assert.ok(lines[1].from >= "2024-06-01" && lines[1].to <= "2025-06-30" && lines[1].checks > 0);
    const all = JSON.parse((await world.run(["unit", unit, "--json", "--to", AS_OF])).out).lines[1];
    assert.ok(all.checks > lines[1].checks);
  });

  it("says what is wrong with the days in one line", async () => {
    for (const [words, expected] of [
      [["--from", "1 June"], /--from takes a date/],
      [["--from", "2025-06-30", "--to", "2025-06-01"], /exchange them/],
    ] as const) {
      const { exitCode, said } = await world.run(["unit", unit, ...words]);
      assert.equal(exitCode, 2);
      assert.equal(said.length, 1);
      assert.match(said[0]!, expected);
    }
  });
});
