import assert from "node:assert/strict";
import fc from "fast-check";
import { describe, it } from "vitest";
import { type CheckReading, outliersOf } from "../../../ingest/readings/outliers.ts";
import { ingest, scratchStore, writeFiles } from "../support/scratch.ts";

const RANGE = 200;
const SPEEDS = [12, 30, 45, 60] as const;

/** One reading: in which check, at which speed, and how far it is off. */
const reading = fc.record({
  unit: fc.constantFrom("U-1", "U-2"),
  hour: fc.constantFrom(0, 1, 30, 60, 61, 200),
  speed: fc.constantFrom(...SPEEDS),
  error: fc.oneof({ weight: 5, arbitrary: fc.constantFrom(0, 0.5) }, fc.constantFrom(6, -7)),
});
type Reading = typeof reading extends fc.Arbitrary<infer T> ? T : never;

const START = Date.parse("2026-03-01T00:00:00Z");
const atMs = ({ hour }: Reading) => START + hour * 3_600_000;
const rangeOf = ({ speed }: Reading) => (RANGE * 60) / speed;
/** Near enough to half of full scale at every speed that friction explains nothing. */
const certifiedOf = (one: Reading) => rangeOf(one) / 2;
const readOf = (one: Reading) => certifiedOf(one) + (one.error * rangeOf(one)) / 100;

function csvOf(readings: readonly Reading[]): string {
  const rows = readings.map((one) =>
    [
      one.unit,
      new Date(atMs(one)).toISOString(),
      one.speed,
      rangeOf(one),
      readOf(one),
      certifiedOf(one),
    ].join(),
  );
  return [
    "instrument,checked_at,speed_rpm,full_scale_range_mpas,reading_mpas,fluid_value_mpas",
    ...rows,
    "",
  ].join("\n");
}

/** Keys of the readings that stand far from their check's others, by looking at every check at once. */
function expectedOutliers(readings: readonly Reading[]): string[] {
  const checks = Map.groupBy(readings, (one) => `${one.unit} ${atMs(one)}`);
  return [...checks.values()]
    .flatMap((check) => {
      const sorted = check.toSorted((a, b) => a.speed - b.speed);
      const compared = sorted.map(
        (one): CheckReading => ({
          torque: (100 * certifiedOf(one)) / rangeOf(one),
          error: (100 * (readOf(one) - certifiedOf(one))) / rangeOf(one),
        }),
      );
      return outliersOf(compared).map((i) => keyOf(sorted[i]!.unit, atMs(sorted[i]!), sorted[i]!.speed));
    })
    .sort();
}

const keyOf = (unit: string, ms: number, speed: number) => `${unit} ${ms} ${speed}`;

describe("flags of outliers", () => {
  it("are those of the whole checks, in whatever order and from whatever files their readings come", async () => {
    const all = fc.uniqueArray(reading, {
      selector: (one) => keyOf(one.unit, atMs(one), one.speed),
      minLength: 8,
      maxLength: 30,
    });
    let found = 0;
    await fc.assert(
      fc.asyncProperty(all, fc.boolean(), fc.nat(30), async (readings, isSorted, cut) => {
        const order = isSorted
          ? readings.toSorted((a, b) => (a.unit < b.unit ? -1 : a.unit > b.unit ? 1 : atMs(a) - atMs(b)))
          : readings;
        const parts = [order.slice(0, cut), order.slice(cut)].filter((part) => part.length > 0);
        const folder = writeFiles(Object.fromEntries(parts.map((part, i) => [`${i}.csv`, csvOf(part)])));
        const store = await scratchStore();
        await ingest(store, folder);
        const { count, instrument, checkedAtMs, speedRpm, flags, names } = await store.readings();
        await store.close();
        assert.equal(count, readings.length);
        const flagged = Array.from({ length: count }, (_, i) => i)
          .filter((i) => flags[i] !== 0)
          .map((i) => keyOf(names.instruments[instrument[i]!]!, checkedAtMs[i]!, speedRpm[i]!))
          .sort();
        const expected = expectedOutliers(readings);
        assert.deepEqual(flagged, expected);
        found += expected.length;
      }),
      { numRuns: 40 },
    );
    assert.ok(found > 10, `${found} outliers`);
  });
});
