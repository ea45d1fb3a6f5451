import assert from "node:assert/strict";
import { existsSync, mkdirSync, readdirSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, it } from "vitest";
import { makeWorld, type World } from "./run-command.ts";

const HEADER =
  "instrument,checked_at,speed_rpm,full_scale_range_mpas,reading_mpas,fluid_value_mpas,fluid_lot\n";
const row = (day: number, reading: string) => `U-1,2026-03-${day}T10:00:00Z,60,200,${reading},95,lot7\n`;

describe("springtide ingest", () => {
  let world: World;
  let sent: string;
  beforeEach(() => {
    world = makeWorld("2026-03-31T20:00:00Z");
    sent = join(world.folder, "sent");
    mkdirSync(sent);
    const bad = [21, 22, 23, 24].map((day) => row(day, "x")).join("");
    writeFileSync(join(sent, "checks.csv"), HEADER + row(20, "95.6") + bad);
    writeFileSync(join(sent, "lots.csv"), "fluid_lot,certified_mpas\nLOT-7,95\n");
  });
  afterEach(() => world.remove());

  it("names the first held rows of each reason, what is worth a look, and how the files were read", async () => {
    const { out, exitCode } = await world.run(["ingest", sent]);
    assert.equal(exitCode, 0);
    const lines = out.split("\n");
    const at = lines.indexOf("  not-a-number");
    assert.deepEqual(
      lines.slice(at - 1, at + 5).map((line) => line.replace(sent, "sent")),
      [
        "Held back: not-a-number 4",
        "  not-a-number",
        ...[3, 4, 5].map(
          (line) =>
            `    sent/checks.csv, line ${line}: "x" in reading_mpas is not a number written with a decimal point.`,
        ),
        "Flagged: lot-unknown 1",
      ],
    );
    assert.match(out, /Note on .*checks\.csv: 5 readings name the lot "lot7".*"LOT-7" is: the same lot\?/);
    assert.match(
      out,
      /Read as CSV, comma, utf-8, decimal point, dates ISO 8601, UTC .*checks\.csv and 1 other/,
    );
  });

  it("rehearses without making a store, and leaves nothing behind", async () => {
    const leftOver = () => readdirSync(tmpdir()).filter((name) => name.startsWith("springtide-rehearsal-"));
    const before = leftOver();
    const { out, exitCode } = await world.run(["ingest", sent, "--dry-run"]);
    assert.equal(exitCode, 0);
    assert.match(out, /together +6 +2 +0 +4 +1/);
    assert.match(out, /Nothing was stored: this was a dry run\./);
    assert.equal(existsSync(join(world.folder, "store.sqlite")), false);
    assert.deepEqual(leftOver(), before);
  });

  it("rehearses by what a store holds where there is one", async () => {
    await world.run(["ingest", sent]);
    const { totals } = JSON.parse((await world.run(["ingest", sent, "--dry-run", "--json"])).out);
    assert.deepEqual(totals, { rows: 6, accepted: 0, repeated: 2, quarantined: 4, flagged: 0 });
  });
});

describe("springtide --help", () => {
  it("says of each command where its data is", async () => {
    const world = makeWorld("2026-03-31T20:00:00Z");
    const help = async (command: string) => (await world.run([command, "--help"])).out.replace(/\s+/g, " ");
    assert.match(await help("ingest"), /else sqlite:springtide\.sqlite/);
    assert.match(await help("demo"), /else sqlite:springtide-demo\.sqlite, made anew each time/);
    assert.doesNotMatch(await help("demo"), /sqlite:springtide\.sqlite/);
    world.remove();
  });
});
