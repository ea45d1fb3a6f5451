import assert from "node:assert/strict";
import { closeSync, openSync, truncateSync, writeSync } from "node:fs";
import { join } from "node:path";
import { gzipSync } from "node:zlib";
import { describe, it } from "vitest";
import { scratchFolder } from "../ingest/support/scratch.ts";
import { startIntake } from "./start-intake.ts";

/** The program alone takes about 100 MiB; none of the files here may come near its own size. Unit: MiB. */
const MAY_TAKE_MIB = 400;
const GIB = 1_073_741_824;

const HEADER = "instrument,checked_at,speed_rpm,full_scale_range_mpas,reading_mpas,fluid_value_mpas\n";
const GOOD = "U-1,2026-03-01T10:00:00Z,60,200,95.6,95\n";

const SOUND =
  '{"instrument":"U-2","checked_at":"2026-03-01","speed_rpm":60,"full_scale_range_mpas":200,"reading_mpas":95.6,"fluid_value_mpas":95}';

/**
 * Takes in one hostile file, and a sound one after it, in a process of its own.
 *
 * @param content Pieces of the file, written one after the other.
 * @param size What the file is filled up to with zero bytes that take no room on the disk.
 */
async function intakeOf(name: string, content: Iterable<string | Uint8Array>, size = 0) {
  const folder = scratchFolder();
  const path = join(folder, name);
  const file = openSync(path, "w");
  for (const piece of content) writeSync(file, Buffer.from(piece));
  closeSync(file);
  if (size > 0) truncateSync(path, size);
  const sound = openSync(join(folder, "zz.csv"), "w");
  writeSync(sound, HEADER + GOOD);
  closeSync(sound);
  const store = join(scratchFolder(), "store.sqlite");
  const outcome = await startIntake(`sqlite:${store}`, folder).done;
  assert.ok(outcome !== null, "the process did not come to its end");
  const [hostile, good] = outcome.files;
  assert.equal(good?.accepted, 1);
  assert.ok(outcome.mostMiB < MAY_TAKE_MIB, `${name} took ${outcome.mostMiB.toFixed(0)} MiB`);
  return hostile!;
}

function* times(count: number, piece: string | Uint8Array) {
  for (let i = 0; i < count; i++) yield piece;
}

describe("a file made to fill the machine", () => {
  it("a line of a million columns", async () => {
    const asHeader = await intakeOf("wide.csv", [
      Array.from({ length: 1_000_000 }, (_, i) => `c${i}`).join(","),
    ]);
    assert.match(asHeader.error ?? "", /The first line is longer than 262,144 characters/);
    const asShortHeader = await intakeOf("wide.csv", ["c", ",".repeat(1_000_000), "\n", GOOD]);
    assert.match(asShortHeader.error ?? "", /The first line is longer than 262,144 characters/);
    const asRow = await intakeOf("wide.csv", [
      HEADER,
      "1",
      ",".repeat(1_000_000),
      "\n",
      GOOD.replace("-1,", "-2,"),
    ]);
    assert.deepEqual(asRow.reasons, { "unreadable-row": 1 });
    assert.equal(asRow.accepted, 1);
  });

  it("a GiB without a line break", async () => {
    const { error } = await intakeOf("endless.csv", [HEADER, GOOD, "U-1,"], GIB);
    assert.match(error ?? "", /Line 3 is longer than 1,048,576 characters/);
  });

  it("a GiB of one JSON object", async () => {
    const { error } = await intakeOf("endless.json", ["[", SOUND, ',\n{"instrument":"'], GIB);
    assert.match(error ?? "", /From line 2 on no object ends within 1,048,576 characters/);
  });

  it("4 GiB folded into 4 MiB, as text, and as one line", async () => {
    const lines = gzipSync(Buffer.alloc(64 * 1_048_576, "\n"));
    const { error } = await intakeOf("bomb.csv.gz", [gzipSync(HEADER), ...times(64, lines)]);
    assert.match(error ?? "", /unfolds to more than 200 times its size/);
    const letters = gzipSync(Buffer.alloc(64 * 1_048_576, "x"));
    const line = await intakeOf("bomb.csv.gz", [gzipSync(HEADER), ...times(64, letters)]);
    assert.match(line.error ?? "", /unfolds to more than 200 times its size/);
  });

  it("JSON of depth 10,000 three hundred times over", async () => {
    const deep = `${"[".repeat(10_000)}${"]".repeat(10_000)}`;
    const nested = await intakeOf("deep.json", ["[\n", SOUND, ...times(300, `,\n{"a":${deep}}`), "]\n"]);
    assert.deepEqual(nested.reasons, { "unreadable-row": 300 });
    assert.equal(nested.accepted, 1);
    const lines = await intakeOf("deep.ndjson", [`${SOUND}\n`, ...times(300, `{"a":${deep}}\n`)]);
    assert.deepEqual(lines.reasons, { "unreadable-row": 300 });
    assert.equal(lines.accepted, 1);
  });

  it("30 MiB of rows that are all held back", async () => {
    const held = await intakeOf("held.csv", [HEADER, ...times(20_000, `${"x".repeat(1500)}\n`)]);
    assert.deepEqual(held.reasons, { "unreadable-row": 20_000 });
  });
});
