import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { rulesAt, rulesOf } from "../../dashboard/assessment/check-rules.ts";
import { judgementsOf } from "../../dashboard/assessment/judgements.ts";
import { DEFAULT_SETTINGS } from "../../dashboard/settings.ts";
import {
  mergeSettings,
  putInForce,
  settingsInForce,
  settingsOverTime,
} from "../../dashboard/settings-in-force.ts";
import { proveTrail } from "../../ingest/index.ts";
import { DATABASES } from "../ingest/support/databases.ts";
import { ingest, NOW, writeFiles } from "../ingest/support/scratch.ts";

const HOUR_MS = 3_600_000;
const DAY = "2026-04-01";

describe.each(DATABASES)("a clock that was set back, %s", (_, emptyStore) => {
  it("leaves in force what was decided last, and checks before it with what was in force for them", async () => {
    const store = await emptyStore();
    const decide = (nowMs: number, fluid_percent: number) =>
      putInForce(store, mergeSettings(DEFAULT_SETTINGS, { tolerance: { fluid_percent } }), {
        nowMs,
        by: "Ada",
        why: null,
        fromDay: null,
      });
    await decide(NOW, 2);
    await decide(NOW - HOUR_MS, 3);
    assert.equal((await settingsInForce(store, DAY)).settings.tolerance.fluid_percent, 3);
    const rules = (await settingsOverTime(store, DAY)).map(rulesOf);
    const fluidPercentAt = (ms: number) => rulesAt(rules, ms).tolerance.fluidPercent;
    assert.deepEqual([NOW + 1, NOW - HOUR_MS, NOW - HOUR_MS - 1].map(fluidPercentAt), [
      3,
      3,
      DEFAULT_SETTINGS.tolerance.fluid_percent,
    ]);
    const told = await store.trail.list({ action: "changed-settings" }, { offset: 0, limit: 10 });
    assert.equal(JSON.parse(told[1]!.before!).settings.tolerance.fluid_percent, 2);
    assert.equal((await proveTrail(store.trail)).brokenAt, null);
  });

  it("leaves a note undone that was taken back after it", async () => {
    const store = await emptyStore();
    await ingest(store, writeFiles({ "units.csv": "instrument,usage,site\nU-1,daily,Quay\n" }));
    const note = { instrument: "U-1", by: "Ada", checkedAtMs: null, speedRpm: null } as const;
    const made = { kind: "remark", onDay: DAY, undoes: null, why: "cleaned", madeAtMs: NOW } as const;
    const id = await store.addJudgement({ ...note, ...made });
    const undone = {
      kind: "undo",
      onDay: null,
      undoes: id,
      why: "was not",
      madeAtMs: NOW - HOUR_MS,
    } as const;
    await store.addJudgement({ ...note, ...undone });
    const [remark] = await judgementsOf(store, DAY);
    assert.equal(remark!.undoneBy?.why, "was not");
    assert.deepEqual(
      (await store.trail.list({ action: "noted" }, { offset: 0, limit: 10 })).map(({ number }) => number),
      [3, 4],
    );
  });
});
