import assert from "node:assert/strict";
import fc from "fast-check";
import { describe, it } from "vitest";
import type { IngestReport } from "../../ingest/index.ts";
import { contents, ingest, scratchStore, writeFiles } from "./support/scratch.ts";

function assertSumHolds({ files, totals }: IngestReport): void {
  for (const file of [...files, totals])
    assert.equal(file.rows, file.accepted + file.repeated + file.quarantined);
  for (const { reasons, quarantined, flagged, accepted } of files) {
    assert.equal(
      Object.values(reasons).reduce((sum, count) => sum + count, 0),
      quarantined,
    );
    assert.ok(flagged <= accepted);
  }
}

/** Takes a file in twice: nothing may break, be lost, or change the second time. */
async function takeInTwice(name: string, content: string | Uint8Array): Promise<void> {
  const folder = writeFiles({ [name]: content });
  const store = await scratchStore();
  const first = await ingest(store, folder);
  assertSumHolds(first);
  const before = await contents(store);
  const revision = await store.revision();
  const second = await ingest(store, folder);
  assertSumHolds(second);
  assert.equal(second.totals.rows, first.totals.rows);
  assert.equal(second.totals.accepted, 0);
  assert.equal(second.totals.quarantined, first.totals.quarantined);
  assert.deepEqual(await contents(store), before);
  assert.equal(await store.revision(), revision);
  assert.equal(before.quarantined.length, first.totals.quarantined);
  await store.close();
}

const HEADER =
  "instrument,checked_at,speed_rpm,full_scale_range_mpas,reading_mpas,fluid_value_mpas,torque_percent";
const field = fc.oneof(
  { weight: 6, arbitrary: fc.constant(null) },
  fc.constantFrom(
    "",
    "x",
    "-1",
    "0",
    "1e9",
    '"',
    '"a,b"',
    "0.095",
    " 95 ",
    "2026-13-01",
    "2063-01-01",
    "ü",
    "1,5",
  ),
);
const good = ["U-1", "2026-03-01T10:00:00Z", "60", "200", "95.6", "95", "47.8"];
const csvRow = fc
  .tuple(fc.array(field, { minLength: 7, maxLength: 7 }), fc.constantFrom("", ",", "\r"))
  .map(([fields, end]) => fields.map((text, i) => text ?? good[i]).join(",") + end);

describe("taking in any file", () => {
  it("holds the sum and changes nothing the second time, for rows with anything in them", async () => {
    await fc.assert(
      fc.asyncProperty(fc.array(csvRow, { maxLength: 12 }), (rows) =>
        takeInTwice("any.csv", [HEADER, ...rows, ""].join("\n")),
      ),
      { numRuns: 25 },
    );
  });

  it("does so for JSON with anything in it", async () => {
    const value = fc.oneof(
      { weight: 4, arbitrary: fc.constant(null) },
      fc.constantFrom<unknown>("", -1, 0, "x", true, [], {}, 1e300, "95.6"),
    );
    const names = HEADER.split(",");
    const element = fc
      .array(value, { minLength: 7, maxLength: 7 })
      .map((values) => Object.fromEntries(names.map((name, i) => [name, values[i] ?? good[i]])));
    const text = fc
      .tuple(fc.array(element, { minLength: 1, maxLength: 8 }), fc.constantFrom(0, 1))
      .map(([elements, indent]) => JSON.stringify(elements, null, indent));
    const damage = fc
      .tuple(text, fc.nat(400), fc.constantFrom("", "{", "}", '"', ",", "\n"))
      .map(([whole, at, put]) => whole.slice(0, at) + put + whole.slice(at + (put === "" ? 1 : 0)));
    await fc.assert(
      fc.asyncProperty(fc.oneof(text, damage), (content) => takeInTwice("any.json", content)),
      { numRuns: 25 },
    );
  });

  it("does so for any bytes at all", async () => {
    const bytes = fc.oneof(
      fc.uint8Array({ maxLength: 300 }),
      fc.uint8Array({ maxLength: 300 }).map((tail) => Buffer.concat([Buffer.from(`${HEADER}\n`), tail])),
      fc.string({ unit: "binary", maxLength: 200 }).map((tail) => Buffer.from(`[{"instrument":1,${tail}`)),
    );
    await fc.assert(
      fc.asyncProperty(bytes, (content) => takeInTwice("any", content)),
      { numRuns: 40 },
    );
  });
});
