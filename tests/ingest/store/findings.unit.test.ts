import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { isClosed } from "../../../ingest/index.ts";
import { DATABASES } from "../support/databases.ts";
import { ingest, writeFiles } from "../support/scratch.ts";

const RESULTS = `instrument,measured_at,sample,viscosity,torque
U-1,2026-03-20T08:00:00Z,batch 17,120.5,45
U-1,2026-03-21T08:00:00Z,batch 18,,
U-2,2026-03-20T08:00:00Z,batch 19,80,22
`;

const MARCH = Date.parse("2026-03-01");
const APRIL = Date.parse("2026-04-01");

describe.each(DATABASES)("a file of results, %s", (_, emptyStore) => {
  it("is known from its columns, and taken in once", async () => {
    const store = await emptyStore();
    const folder = writeFiles({ "what-was-measured.csv": RESULTS });
    const report = await ingest(store, folder);
    assert.equal(report.files[0]!.kind, "results");
    assert.equal(report.totals.accepted, 3);
    assert.equal((await ingest(store, folder)).totals.repeated, 3);
    const results = await store.results("U-1", MARCH, APRIL);
    assert.deepEqual(results[0], {
      instrument: "U-1",
      measuredAtMs: Date.parse("2026-03-20T08:00:00Z"),
      sample: "batch 17",
      viscosityMPaS: 120.5,
      torquePercent: 45,
    });
    assert.deepEqual([results[1]!.viscosityMPaS, results[1]!.torquePercent], [null, null]);
    assert.equal(results.length, 2);
    assert.deepEqual(await store.results("U-1", APRIL, APRIL + 1), []);
  });

  it("replaces what it says anew, and holds back a row that cannot be read", async () => {
    const store = await emptyStore();
    await ingest(store, writeFiles({ "a.csv": RESULTS }));
    const changed = RESULTS.replace("120.5", "121").replace("2026-03-21T08", "2026-13-21T08");
    const { totals, files } = await ingest(store, writeFiles({ "b.csv": changed }));
    assert.deepEqual([totals.rows, totals.accepted, totals.repeated, totals.quarantined], [3, 1, 1, 1]);
    assert.deepEqual(files[0]!.reasons, { "bad-time": 1 });
    assert.equal((await store.results("U-1", MARCH, APRIL))[0]!.viscosityMPaS, 121);
  });
});

describe.each(DATABASES)("findings, %s", (_, emptyStore) => {
  it("are kept with who, when and why, and stay open until a person decides", async () => {
    const store = await emptyStore();
    await ingest(store, writeFiles({ "a.csv": "instrument,model_class\nU-1,low torque\n" }));
    const before = await store.revision();
    const id = await store.openFinding({
      instrument: "U-1",
      foundOn: "2026-03-30",
      openedAtMs: APRIL,
      by: "R. Quality",
      why: "service found it out",
      window: "{}",
    });
    const decide = (decision: "look-into" | "no-effect") =>
      store.decideFinding(id, { decidedAtMs: APRIL, by: "R. Quality", decision, why: "retained samples" });
    const only = async () => (await store.findings())[0]!;
    assert.equal(isClosed(await only()), false);
    await decide("look-into");
    assert.equal(isClosed(await only()), false);
    await decide("no-effect");
    const finding = await only();
    assert.equal(isClosed(finding), true);
    assert.deepEqual(
      finding.decisions.map(({ decision }) => decision),
      ["look-into", "no-effect"],
    );
    assert.equal(finding.instrument, "U-1");
    assert.ok((await store.revision()) > before);
  });
});
