import assert from "node:assert/strict";
import { join } from "node:path";
import { gzipSync } from "node:zlib";
import fc from "fast-check";
import { describe, it } from "vitest";
import { type IngestReport, ingestPaths } from "../../ingest/index.ts";
import { contents, ingest, NOW, scratchStore, writeFiles } from "./support/scratch.ts";

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
async function takeInTwice(
  name: string,
  content: string | Uint8Array,
  beside: Readonly<Record<string, string>> = {},
): Promise<void> {
  const folder = writeFiles({ [name]: content, ...beside });
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
const PER_READING = HEADER.split(",").slice(2);
const GOOD_WIDE = [...good, ...good.slice(2)];
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

  it("does so for what a gzip file holds, whole or damaged", async () => {
    const text = fc.array(csvRow, { maxLength: 8 }).map((rows) => [HEADER, ...rows, ""].join("\n"));
    const damaged = fc
      .tuple(text, fc.nat(120), fc.nat(255))
      .map(([whole, at, byte]) => gzipSync(whole).map((old, i) => (i === at + 2 ? byte : old)));
    const cut = fc.tuple(text, fc.nat(120)).map(([whole, at]) => gzipSync(whole).subarray(0, at));
    const content = fc.oneof(
      text.map((whole) => gzipSync(whole)),
      damaged,
      cut,
    );
    await fc.assert(
      fc.asyncProperty(content, (bytes) => takeInTwice("any.csv.gz", bytes)),
      { numRuns: 30 },
    );
  });

  it("does so for a wide form, and for checks with their readings nested in them", async () => {
    const wideHeader = [
      "instrument",
      "checked_at",
      ...[1, 2].flatMap((n) => PER_READING.map((c) => `${c}_${n}`)),
    ];
    const wide = fc
      .array(fc.array(field, { minLength: 12, maxLength: 13 }), { maxLength: 8 })
      .map((rows) =>
        [wideHeader, ...rows.map((row) => row.map((text, i) => text ?? GOOD_WIDE[i] ?? ""))]
          .map((row) => row.join(";"))
          .join("\r\n"),
      );
    const reading = fc.oneof(
      fc.constant(Object.fromEntries(PER_READING.map((column, i) => [column, good[i + 2]]))),
      fc.constantFrom<unknown>(null, 3, [], {}, "x", { speed_rpm: -1 }, { readings: [] }),
    );
    const check = fc.record({
      instrument: fc.constantFrom<unknown>("U-1", "", null, 7),
      checked_at: fc.constantFrom(good[1], "2026-13-01"),
      readings: fc.oneof(fc.array(reading, { maxLength: 4 }), fc.constantFrom<unknown>(null, 1, {})),
    });
    const nested = fc
      .tuple(fc.array(check, { minLength: 1, maxLength: 5 }), fc.constantFrom(0, 2))
      .map(([checks, indent]) => JSON.stringify(checks, null, indent));
    await fc.assert(
      fc.asyncProperty(wide, (text) => takeInTwice("wide.csv", text)),
      { numRuns: 20 },
    );
    await fc.assert(
      fc.asyncProperty(nested, (text) => takeInTwice("nested.json", text)),
      { numRuns: 20 },
    );
  });

  it("does so by any profile", async () => {
    const profile = fc.record(
      {
        decimal: fc.constantFrom(".", ","),
        delimiter: fc.constantFrom(",", ";", "\t", "|"),
        encoding: fc.constantFrom("utf-8", "utf-16le", "utf-16be", "windows-1252"),
        dates: fc.constantFrom("dd.MM.yyyy", "MM/dd/yyyy hh:mm a", "x", "''"),
        time_zone: fc.constantFrom("Europe/Berlin", "America/New_York"),
        units: fc.constantFrom({ reading_mpas: "Pa.s" }, { speed_rpm: "1/s", torque_percent: "1" }, {}),
        constants: fc.constantFrom({ site: "Quay" }, { instrument: "U-9", torque_percent: 47.8 }, {}),
        stages: fc.constantFrom({ before: "as_found" }, {}),
      },
      { requiredKeys: [] },
    );
    const text = fc.array(csvRow, { maxLength: 6 }).map((rows) => [HEADER, ...rows, ""].join("\n"));
    await fc.assert(
      fc.asyncProperty(text, profile, (content, written) =>
        takeInTwice("any.csv", content, { "any.profile.json": JSON.stringify(written) }),
      ),
      { numRuns: 30 },
    );
  });
});

describe("the files of one call", () => {
  it("come to the same store in whatever order they are named, contradictions among them included", async () => {
    const row = fc
      .record({
        day: fc.constantFrom(1, 2, 3),
        speed: fc.constantFrom(30, 60),
        reading: fc.constantFrom("95.6", "95.7", "x", "0.0956", "120"),
        lot: fc.constantFrom("", "LOT-1", "LOT-2"),
      })
      .map(
        ({ day, speed, reading, lot }) =>
          `U-1,2026-03-0${day}T10:00:00Z,${speed},${12_000 / speed},${reading},${lot === "" ? 95 : ""},${lot}`,
      );
    const readings = fc
      .array(row, { maxLength: 6 })
      .map((rows) => [`${HEADER.replace(",torque_percent", ",fluid_lot")}`, ...rows, ""].join("\n"));
    const lot = fc
      .tuple(fc.constantFrom("LOT-1", "LOT-2"), fc.constantFrom(95, 100), fc.constantFrom("", "2026-03-02"))
      .map((of) => `fluid_lot,certified_mpas,expires_on\n${of.join()}\n`);
    const files = fc.array(fc.oneof({ weight: 3, arbitrary: readings }, lot), { minLength: 2, maxLength: 5 });
    await fc.assert(
      fc.asyncProperty(files, fc.infiniteStream(fc.nat()), async (contentsOfFiles, keys) => {
        const folder = writeFiles(Object.fromEntries(contentsOfFiles.map((text, i) => [`${i}.csv`, text])));
        const named = contentsOfFiles.map((_, i) => join(folder, `${i}.csv`));
        const shuffled = named
          .map((path) => ({ path, key: keys.next().value as number }))
          .sort((a, b) => a.key - b.key)
          .map(({ path }) => path);
        const [one, other] = [await scratchStore(), await scratchStore()];
        await ingestPaths(one, named, { now: () => NOW });
        await ingestPaths(other, shuffled, { now: () => NOW });
        assert.deepEqual(await contents(other), await contents(one));
        await one.close();
        await other.close();
      }),
      { numRuns: 15 },
    );
  });
});
