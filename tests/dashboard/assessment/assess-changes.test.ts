import assert from "node:assert/strict";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, it } from "vitest";
import { assessChanges, assessStore, completed } from "../../../dashboard/assessment/assess-store.ts";
import { ingestPaths, openStore, type Store } from "../../../ingest/index.ts";

const AS_OF = "2026-03-31";
const UNITS = ["U-1", "U-2", "U-3", "U-4", "U-5"];
const HEADER =
  "instrument,checked_at,speed_rpm,reading_mpas,fluid_value_mpas,full_scale_range_mpas,fluid_lot,site";

/** One check at three speeds; the unit's error grows with its number and with time. */
function check(instrument: string, month: number, day: number): string {
  const time = new Date(Date.UTC(2024, month, day, 9)).toISOString();
  const error = 1 + 0.0005 * month * Number(instrument.slice(2));
  return [5, 10, 20]
    .map(
      (speed) => `${instrument},${time},${speed},${(95 * error).toFixed(2)},95,${2400 / speed},LOT-1,North`,
    )
    .join("\n");
}

let folder: string;
let store: Store;

async function send(name: string, ...checks: readonly string[]): Promise<void> {
  const file = join(folder, name);
  writeFileSync(file, `${[HEADER, ...checks].join("\n")}\n`);
  await ingestPaths(store, [file], { now: () => Date.parse("2026-04-01") });
}

beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), "springtide-test-"));
  store = await openStore(`sqlite:${join(folder, "store.sqlite")}`);
  const register = UNITS.map((unit) => `${unit},North,2026-12-01`);
  writeFileSync(
    join(folder, "instruments.csv"),
    `instrument,site,next_service_due\n${register.join("\n")}\n`,
  );
  await ingestPaths(store, [join(folder, "instruments.csv")], { now: () => Date.parse("2026-04-01") });
  const months = Array.from({ length: 24 }, (_, month) => month);
  await send("first.csv", ...UNITS.flatMap((unit) => months.map((month) => check(unit, month, 5))));
});
afterEach(async () => {
  await store.close();
  rmSync(folder, { recursive: true, force: true });
});

describe("what came since the last run", () => {
  it("is all that is assessed, and the whole is what a run over everything gives", async () => {
    const first = await assessChanges(store, AS_OF, null);
    assert.deepEqual(first.unchanged, []);
    assert.deepEqual(first.assessment, (await assessStore(store, AS_OF)).assessment);

    await send("second.csv", check("U-3", 24, 20));
    const second = await assessChanges(store, AS_OF, first);
    assert.deepEqual(
      second.assessment.units.map(({ instrument }) => instrument),
      ["U-3"],
    );
    assert.deepEqual(completed(second, first).assessment, (await assessStore(store, AS_OF)).assessment);
  });

  it("is nothing where nothing came", async () => {
    const first = await assessChanges(store, AS_OF, null);
    const second = await assessChanges(store, AS_OF, first);
    assert.deepEqual(second.assessment.units, []);
    assert.deepEqual(completed(second, first).assessment, first.assessment);
  });

  it("leaves the limits' basis as it is as long as the fleet may alarm as rarely", async () => {
    const first = await assessChanges(store, AS_OF, null);
    const known = first.watchBasis!;
    await send("second.csv", check("U-3", 24, 20));
    const moved = { ...known, strayShare: 0.123, budget: { ...known.budget, streams: 1 } };
    const { watchBasis } = await assessChanges(store, AS_OF, { ...first, watchBasis: moved });
    // Only the number of charts and alarms is counted anew.
    assert.deepEqual({ ...watchBasis, budget: null }, { ...moved, budget: null });
    assert.equal(watchBasis!.budget.streams, known.budget.streams);
    const rarer = { ...known, budget: { ...known.budget, runLength: 2 * known.budget.runLength } };
    const again = await assessChanges(store, AS_OF, { ...first, watchBasis: rarer });
    assert.equal(again.watchBasis!.budget.runLength, known.budget.runLength);
    assert.equal(again.watchBasis!.strayShare, known.strayShare);
  });

  it("is everything on another day, and with a lot that nobody knew", async () => {
    const first = await assessChanges(store, AS_OF, null);
    assert.equal((await assessChanges(store, "2026-04-01", first)).assessment.units.length, UNITS.length);
    await send("second.csv", check("U-3", 24, 20).replaceAll("LOT-1", "LOT-2"));
    assert.equal((await assessChanges(store, AS_OF, first)).assessment.units.length, UNITS.length);
  });
});
