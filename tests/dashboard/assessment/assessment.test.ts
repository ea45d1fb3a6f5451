import assert from "node:assert/strict";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, it } from "vitest";
import { createAssessment } from "../../../dashboard/assessment/assessment.ts";
import { demoFleet } from "../../../dashboard/demo/demo-fleet.ts";
import { writeFleet } from "../../../dashboard/demo/fleet-files.ts";
import { ingestPaths, openStore, type Store } from "../../../ingest/index.ts";

const AS_OF = "2026-03-31";
const NOW = Date.parse("2026-03-31T12:00:00Z");

let folder: string;
let store: Store;
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), "springtide-test-"));
  writeFleet(join(folder, "fleet"), demoFleet({ asOf: AS_OF, units: 6, years: 1, seed: 3 }), {
    forms: "plain",
  });
  store = await openStore(`sqlite:${join(folder, "store.sqlite")}`);
  await ingestPaths(store, [join(folder, "fleet")], { now: () => NOW });
});
afterAll(async () => {
  await store.close();
  rmSync(folder, { recursive: true, force: true });
});

describe("the look at the fleet that the pages show", () => {
  it("is waited for once; then a newer one takes its place when it is finished, and not before", async () => {
    const assessment = createAssessment({ store, asOf: () => AS_OF });
    assert.equal((await assessment.standing()).shown, null);
    const first = await assessment.current();
    const before = await assessment.standing();
    assert.deepEqual([before.shown?.revision, before.looking, before.failed], [first.revision, null, false]);

    const file = join(folder, "one-more.csv");
    writeFileSync(
      file,
      "instrument,checked_at,speed_rpm,reading_mpas,fluid_value_mpas,full_scale_range_mpas\n" +
        `${first.assessment.units[0]!.instrument},2026-03-31T09:00:00Z,3,500,500,1000\n`,
    );
    await ingestPaths(store, [file], { now: () => NOW });

    const during = await assessment.standing();
    assert.ok(during.revision > first.revision);
    assert.equal(during.looking, "reading");
    assert.equal(await assessment.current(), first);

    const until = Date.now() + 45_000;
    while ((await assessment.standing()).looking !== null && Date.now() < until) {
      await new Promise((resolve) => setTimeout(resolve, 50));
    }
    const second = await assessment.current();
    assert.equal(second.revision, during.revision);
    assert.equal(second.readings, first.readings! + 1);
  });
});
