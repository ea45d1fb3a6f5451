import assert from "node:assert/strict";
import fc from "fast-check";
import { describe, it } from "vitest";
import { CsvReader } from "../../../ingest/csv/csv-reader.ts";
import { PlainCsvReader } from "../../../ingest/csv/plain-csv-reader.ts";
import { toProfile } from "../../../ingest/profile/load-profile.ts";
import { readingContext } from "../../../ingest/readings/draft.ts";
import { type JudgedBatch, placeOf } from "../../../ingest/readings/judged-batch.ts";
import { RangeConstants } from "../../../ingest/readings/range-constants.ts";
import { ReadingJudge } from "../../../ingest/readings/reading-judge.ts";
import { type WayOfReading, writtenConstants } from "../../../ingest/way-of-reading.ts";
import { fluid, instrument } from "../store/samples.ts";
import { NOW } from "../support/scratch.ts";

const COLUMNS = [
  "instrument",
  "checked_at",
  "speed_rpm",
  "full_scale_range_mpas",
  "reading_mpas",
  "fluid_value_mpas",
  "fluid_lot",
  "remark",
  "operator",
  "check_id",
];
const GOOD = ["007", "2026-03-01T10:00:00Z", "60", "200", "95.6", "95", "LOT-1", "", "Zoë", "C/1"];

const field = fc.oneof(
  { weight: 90, arbitrary: fc.constant(null) },
  fc.constantFrom(
    "",
    " ",
    '"',
    '"a',
    '"x,y"',
    "ü",
    "é\u00a0",
    "\u0000",
    "x".repeat(70),
    "47.25",
    "12345678901234567",
  ),
  fc.constantFrom("0", "-1", "+60", ".5", "5.", ".", "1e2", "1,5", " 60 ", "0.0956", "as left", "LOT-9"),
  fc.constantFrom("2024-02-29T00:00:00Z", "2026-02-29T10:00:00Z", "2026-03-01T24:00:00Z", "2026-03-01"),
);
const whole = fc.array(field, { minLength: 10, maxLength: 10 });
const row = fc.oneof({ weight: 5, arbitrary: whole }, fc.array(field, { minLength: 9, maxLength: 11 }));
const lineEnd = fc.constantFrom("\n", "\r\n", "\r", "\n\n", "\r\r\n");
const file = fc.record({
  mark: fc.constantFrom("", "", "\ufeff"),
  rows: fc.array(fc.tuple(row, lineEnd), { maxLength: 9 }),
  end: fc.constantFrom("", "\n", "\r", "\r\n"),
  decimal: fc.constantFrom<"." | ",">(".", ","),
  delimiter: fc.constantFrom(",", ";", "\t"),
  encoding: fc.constantFrom<"utf-8" | "windows-1252">("utf-8", "windows-1252"),
  pieceBytes: fc.integer({ min: 1, max: 300 }),
  isWide: fc.boolean(),
  constants: fc.constantFrom(
    {},
    {},
    { torque_percent: 47.8, operator: "somebody" },
    { temperature_c: "warm" },
  ),
});
type AnyFile = typeof file extends fc.Arbitrary<infer T> ? T : never;

function wayOf({ decimal, delimiter, constants }: AnyFile): WayOfReading {
  const profile = toProfile({ constants, units: { fluid_value_mpas: "mPa.s" } });
  return {
    kind: "readings",
    form: { name: "csv", delimiter },
    decimal,
    profile,
    constants: writtenConstants(profile, decimal),
  };
}

function bytesOf({ mark, rows, end, decimal, delimiter, isWide }: AnyFile): Buffer {
  const columns = isWide
    ? [
        ...COLUMNS,
        ...["speed_rpm", "full_scale_range_mpas", "reading_mpas", "fluid_value_mpas"].map((c) => `${c}_2`),
      ]
    : COLUMNS;
  const header = columns.map((column, i) => (isWide && i >= 2 && i <= 5 ? `${column}_1` : column));
  const text = (i: number) => (GOOD[i] ?? (i === 10 ? "30" : GOOD[i - 7]!)).replace(".", decimal);
  const lines = rows.map(([fields, lineEnd]) => {
    const width = fields.length === 10 ? columns.length : fields.length;
    return Array.from({ length: width }, (_, i) => fields[i] ?? text(i)).join(delimiter) + lineEnd;
  });
  return Buffer.from(`${mark}${header.join(delimiter)}\n${lines.join("")}${end}`);
}

function judgeOf(file: AnyFile): ReadingJudge {
  const way = wayOf(file);
  const registers = {
    instruments: new Map([[instrument.instrument, instrument]]),
    fluids: new Map([[fluid.fluidLot, fluid]]),
    geometries: new Map(),
  };
  return new ReadingJudge(way, readingContext(way, new RangeConstants(), registers, NOW));
}

/** All that was judged, in order, in one form. */
function told(batches: readonly JudgedBatch[]): unknown[] {
  return batches.flatMap((batch) => {
    const { sound, objected } = batch;
    const { names, ...columns } = sound;
    const soundRows = Array.from({ length: sound.count }, (_, i) => ({
      order: i + 1,
      ...placeOf(batch, i),
      numbers: Object.entries(columns).map(([name, column]) =>
        typeof column === "number" || name in NAMES ? null : column[i],
      ),
      names: Object.entries(NAMES).map(
        ([column, list]) => names[list][sound[column as keyof typeof NAMES][i]!] ?? null,
      ),
    }));
    const others = objected.map(({ after, row, reading }) => ({ order: after + 0.5, ...row, reading }));
    const lots = [...batch.unknownLots];
    return [...[...soundRows, ...others].sort((a, b) => a.order - b.order), ...lots].map((one) =>
      Array.isArray(one) ? one : { ...one, order: null },
    );
  });
}

const NAMES = {
  instrument: "instruments",
  fluidLot: "fluidLots",
  geometry: "geometries",
  site: "sites",
  operator: "operators",
  checkId: "checkIds",
} as const;

function byText(file: AnyFile): unknown[] {
  const text = new TextDecoder(file.encoding).decode(bytesOf(file));
  const reader = new CsvReader(file.delimiter);
  const judge = judgeOf(file);
  const records = [...reader.push(text), ...reader.end()];
  judge.records(reader.columns, records);
  return told([judge.batch()]);
}

function byBytes(file: AnyFile): { told: unknown[]; plain: number } {
  const judge = judgeOf(file);
  let plain = 0;
  const reader = new PlainCsvReader(file, {
    kindsOf: (columns) => judge.kindsOf(columns),
    plain: (row) => {
      const isTaken = judge.plain(row);
      if (isTaken) plain++;
      return isTaken;
    },
    records: (columns, records) => judge.records(columns, records),
  });
  const bytes = bytesOf(file);
  const batches: JudgedBatch[] = [];
  for (let at = 0; at < bytes.length; at += file.pieceBytes) {
    const piece = reader.push(bytes.subarray(at, at + file.pieceBytes));
    batches.push(judge.batch(piece, file.encoding));
  }
  batches.push(judge.batch(reader.end(), file.encoding));
  return { told: told(batches), plain };
}

describe("rows read from their bytes", () => {
  it("are judged as they are when read as text, whatever stands in them and wherever pieces end", () => {
    let plain = 0;
    let others = 0;
    fc.assert(
      fc.property(file, (any) => {
        const read = byBytes(any);
        const isLot = (one: unknown) => Array.isArray(one);
        const expected = byText(any);
        assert.deepEqual(
          read.told.filter((one) => !isLot(one)),
          expected.filter((one) => !isLot(one)),
        );
        assert.deepEqual(countsOf(read.told.filter(isLot)), countsOf(expected.filter(isLot)));
        plain += read.plain;
        others += expected.length - read.plain;
      }),
      { numRuns: 400 },
    );
    // Both ways were gone.
    assert.ok(plain > 200, `${plain} plain rows`);
    assert.ok(others > 200, `${others} others`);
  });
});

function countsOf(lots: readonly unknown[]): Record<string, number> {
  const counts: Record<string, number> = {};
  for (const [lot, count] of lots as [string, number][]) counts[lot] = (counts[lot] ?? 0) + count;
  return counts;
}
