import assert from "node:assert/strict";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, it } from "vitest";
import { USE } from "../../../analysis/index.ts";
import { assessStore } from "../../../dashboard/assessment/assess-store.ts";
import { loadFleet } from "../../../dashboard/assessment/load-fleet.ts";
import { previewSettings } from "../../../dashboard/assessment/settings-preview.ts";
import { DEFAULT_SETTINGS } from "../../../dashboard/settings.ts";
import { mergeSettings, putInForce, settingsInForce } from "../../../dashboard/settings-in-force.ts";
import { ingestPaths, openStore, type Store } from "../../../ingest/index.ts";

const AS_OF = "2026-04-30";
/** The second check is made at nine, so this is between the first and the second. */
const AFTER_FIRST = Date.parse("2026-02-02T08:00:00Z");
/** Half the tolerance of the defaults; a fluid may be half a kelvin off. */
const STRICT = mergeSettings(DEFAULT_SETTINGS, {
  tolerance: { fluid_percent: 0.5, instrument_percent: 0.5, accessory_percent: 0.5 },
  temperature: { allowed_k: 0.5 },
  check_every_days: { daily: 1 },
});

let folder: string;
let store: Store;
beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), "springtide-test-"));
  store = await openStore(`sqlite:${join(folder, "store.sqlite")}`);
  writeFileSync(
    join(folder, "instruments.csv"),
    "instrument,site,usage,next_service_due\nU-1,North,daily,2026-12-01\n",
  );
  // At 50 % torque the tolerance is 2.5 % of full scale; each reading is 1.5 % of it above the fluid's value.
  const rows = ["2026-01-05", "2026-02-02", "2026-03-02"].map(
    (day) => `U-1,${day}T09:00:00Z,30,257.5,250,500,25.3`,
  );
  writeFileSync(
    join(folder, "readings.csv"),
    `instrument,checked_at,speed_rpm,reading_mpas,fluid_value_mpas,full_scale_range_mpas,temperature_c\n${rows.join("\n")}\n`,
  );
  await ingestPaths(store, [folder], { now: () => Date.parse("2026-04-01") });
});
afterEach(async () => {
  await store.close();
  rmSync(folder, { recursive: true, force: true });
});

const by = { by: "R. Planner", why: "procedure 7", fromDay: null };

describe("a check", () => {
  it("is judged by the settings in force when it was made, whatever was set since", async () => {
    await putInForce(store, STRICT, { nowMs: AFTER_FIRST, ...by });
    const { settings } = await settingsInForce(store, AS_OF);
    assert.deepEqual(settings, STRICT);
    const { fleet, columns } = await loadFleet(store, AS_OF, settings);
    const { readings } = fleet.units[0]!;
    assert.deepEqual(Array.from(readings.tolerance), [2.5, 1.25, 1.25]);
    // 0.3 K off: too much by the first settings, not by the second.
    assert.deepEqual(Array.from(readings.use), [USE.shownOnly, USE.full, USE.full]);
    assert.equal(new Set(columns.flags).size, 2);
    assert.equal(fleet.toleranceRule.fluidPercent, 0.5, "units are judged by what is in force today");
  });

  it("keeps its verdict after a second change too, and as seen from a day before it", async () => {
    await putInForce(store, STRICT, { nowMs: AFTER_FIRST, ...by });
    await putInForce(store, DEFAULT_SETTINGS, { nowMs: Date.parse("2026-02-20"), ...by });
    const { settings } = await settingsInForce(store, AS_OF);
    const { fleet } = await loadFleet(store, AS_OF, settings);
    assert.deepEqual(Array.from(fleet.units[0]!.readings.tolerance), [2.5, 1.25, 2.5]);
    const then = await loadFleet(store, "2026-02-15", settings);
    assert.deepEqual(Array.from(then.fleet.units[0]!.readings.tolerance), [2.5, 1.25]);
  });

  it("is judged by a store's first settings from the day since which they have held", async () => {
    await putInForce(store, STRICT, { nowMs: Date.parse("2026-04-20"), ...by, fromDay: "2026-02-01" });
    const { fleet } = await loadFleet(store, AS_OF, STRICT);
    assert.deepEqual(Array.from(fleet.units[0]!.readings.tolerance), [2.5, 1.25, 1.25]);
    await assert.rejects(
      putInForce(store, STRICT, { nowMs: Date.parse("2026-04-21"), ...by, fromDay: "2026-02-01" }),
      /Only the first settings/,
    );
    await assert.rejects(
      putInForce(store, STRICT, { nowMs: Date.parse("2026-04-21"), ...by, fromDay: "2026-05-01" }),
      /2026-05-01 is still to come/,
    );
  });
});

describe("a preview", () => {
  it("counts the verdicts that would be others, and changes nothing", async () => {
    const before = await store.revision();
    const run = await assessStore(store, AS_OF);
    // Under the defaults no reading may be judged: the fluid was 0.3 K off.
    const wider = mergeSettings(DEFAULT_SETTINGS, { temperature: { allowed_k: 0.5 } });
    assert.equal((await previewSettings(store, AS_OF, run, STRICT)).verdicts.checks, 0);
    await putInForce(store, wider, { nowMs: Date.parse("2026-04-20"), ...by, fromDay: "2026-01-01" });
    const now = await assessStore(store, AS_OF);
    const preview = await previewSettings(store, AS_OF, now, STRICT);
    assert.deepEqual(preview.verdicts, {
      checks: 3,
      failed: 0,
      wouldFail: 3,
      passedButWouldFail: 3,
      failedButWouldPass: 0,
    });
    assert.deepEqual([preview.units, preview.unitsOf], [1, 1]);
    assert.equal(preview.present.sitesBehind, 1);
    // Two of three gaps are longer than a week and a half and a weekend, as are all by a day.
    assert.equal(preview.proposed.sitesBehind, 1);
    assert.equal(await store.revision(), before + 1, "only the change that was made counts");
  });
});
