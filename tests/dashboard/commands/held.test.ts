import assert from "node:assert/strict";
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { beforeEach, describe, it, onTestFinished } from "vitest";
import { makeWorld, type World } from "./run-command.ts";

const HEADER = "instrument,checked_at,speed_rpm,full_scale_range_mpas,reading_mpas,fluid_value_mpas,site\n";
const row = (time: string, reading: string, site: string) =>
  `U-1,2026-03-01T${time}:00Z,60,200,${reading},95,${site}\n`;

let world: World;
beforeEach(async () => {
  world = makeWorld("2026-04-01T12:00:00Z");
  onTestFinished(() => world.remove());
  const file = join(world.folder, "a.csv");
  writeFileSync(
    file,
    HEADER + row("10:00", "95.6", "Quay") + row("11:00", "abc", "Quay") + row("12:00", "0.0952", "Aldermoor"),
  );
  await world.run(["ingest", file]);
});

const rowsOf = async (...words: string[]) => {
  const { out } = await world.run(["held", "list", "--json", ...words]);
  return (JSON.parse(out) as { held: { number: number; line: number; state: string }[] }).held;
};

describe("springtide held", () => {
  it("lists what is held back, and filters", async () => {
    const { out, exitCode } = await world.run(["held"]);
    assert.equal(exitCode, 0);
    assert.match(out, /^2 rows are held back\./);
    assert.match(out, /a\.csv, line 4 +unit-mixup +Reads 0\.0952 where about 95 mPa·s is expected/);
    assert.deepEqual(
      (await rowsOf("--site", "Quay")).map(({ line }) => line),
      [3],
    );
    assert.deepEqual(
      (await rowsOf("--reason", "unit-mixup", "--file", "a.csv")).map(({ line }) => line),
      [4],
    );
    assert.equal((await world.run(["held", "--reason", "odd"])).exitCode, 2);
  });

  it("mends, shows and dismisses, and keeps who and why", async () => {
    const [mixed, typed] = await rowsOf();
    const failed = await world.run([
      "held",
      "mend",
      String(typed!.number),
      "--set",
      "reading_mpas=-1",
      "--why",
      "typing error",
      "--by",
      "Ida",
    ]);
    assert.equal(failed.exitCode, 1);
    assert.match(failed.said.join(), /stays held back: -1 in reading_mpas is below zero/);
    const mended = await world.run([
      "held",
      "mend",
      String(typed!.number),
      "--set",
      "reading_mpas=95.1",
      "--why",
      "typing error",
      "--by",
      "Ida",
      "--json",
    ]);
    assert.equal(mended.exitCode, 0);
    const [decision] = (JSON.parse(mended.out) as { rows: Record<string, unknown>[] }).rows;
    assert.deepEqual(
      [decision?.outcome, decision?.by, decision?.why, decision?.values],
      ["accepted", "Ida", "typing error", { reading_mpas: "95.1" }],
    );
    await world.run([
      "held",
      "dismiss",
      String(mixed!.number),
      "--why",
      "instrument was on loan",
      "--by",
      "Ida",
    ]);
    assert.deepEqual(await rowsOf(), []);
    assert.deepEqual(
      (await rowsOf("--state", "any")).map(({ state }) => state),
      ["dismissed", "accepted"],
    );
    const shown = await world.run(["held", "show", String(typed!.number)]);
    assert.match(shown.out, /1 Apr 2026, Ida: mended \(reading_mpas: 95\.1\): typing error\./);
    assert.match(shown.out, /U-1,2026-03-01T11:00:00Z,60,200,abc,95,Quay/);
  });

  it("releases by filter, and says what stays", async () => {
    const outcome = await world.run([
      "held",
      "release",
      "--site",
      "Quay",
      "--why",
      "try again",
      "--by",
      "Ida",
    ]);
    assert.equal(outcome.exitCode, 1);
    assert.match(outcome.out, /1 row stays held back/);
  });

  it("says what is off with a call", async () => {
    for (const [words, exit, message] of [
      [["mend", "1", "--why", "x"], 2, /--set COLUMN=VALUE/],
      [["mend", "1", "--set", "reading_mpas", "--why", "x"], 2, /--set takes COLUMN=VALUE/],
      [["mend", "1", "--set", "colour=red", "--why", "x"], 1, /is no column of readings/],
      [["mend", "99", "--set", "site=x", "--why", "x"], 1, /no held row 99/],
      [["dismiss", "--why", "x"], 2, /name rows by their numbers, or say which/],
      [["dismiss", "1", "--why", " "], 2, /must not be empty/],
    ] as const) {
      const outcome = await world.run(["held", ...words]);
      assert.equal(outcome.exitCode, exit, words.join(" "));
      assert.match(outcome.said.join("\n"), message);
    }
  });
});
