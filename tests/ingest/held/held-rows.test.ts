import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { dismiss, heldFields, IngestError, type Mend, reread, type Store } from "../../../ingest/index.ts";
import { DATABASES } from "../support/databases.ts";
import { ingest, NOW, writeFiles } from "../support/scratch.ts";

const HEADER = "instrument,checked_at,speed_rpm,full_scale_range_mpas,reading_mpas,fluid_value_mpas,site\n";
const ROW = "U-1,2026-03-01T10:00:00Z,60,200,95.6,95,Aldermoor\n";
const ACTING = { by: "Ida", why: "the sheet says so", nowMs: NOW, sites: null };

async function only(store: Store) {
  const rows = await store.held.list({ state: "held" });
  assert.equal(rows.length, 1);
  return rows[0]!;
}

const mended = async (store: Store, mend: Mend) => reread(store, await only(store), "mended", mend, ACTING);

describe.each(DATABASES)("a held row, %s", (_, emptyStore) => {
  async function storeWith(text: string, name = "a.csv"): Promise<{ store: Store; folder: string }> {
    const store = await emptyStore();
    const folder = writeFiles({ [name]: text });
    await ingest(store, folder);
    return { store, folder };
  }

  it("comes in when mended, as a reading of its own file and line, and stays on record", async () => {
    const { store, folder } = await storeWith(
      `${HEADER}${ROW}${ROW.replace("10:00", "11:00").replace("95.6", "abc")}`,
    );
    const row = await only(store);
    assert.deepEqual(
      [row.line, row.reason, row.site, row.instrument, row.decisions],
      [3, "not-a-number", "Aldermoor", "U-1", []],
    );
    const decision = await mended(store, { values: { reading_mpas: "95.7" } });
    assert.equal(decision.outcome, "accepted");
    const columns = await store.readings();
    assert.equal(columns.count, 2);
    assert.deepEqual([columns.readingMPaS[1], columns.line[1], columns.fileId[1]], [95.7, 3, row.fileId]);
    assert.deepEqual(await store.quarantined(), []);
    const kept = (await store.held.find(row.id))!;
    assert.equal(kept.state, "accepted");
    assert.match(kept.raw, /abc/);
    assert.deepEqual(kept.decisions, [
      {
        action: "mended",
        madeAtMs: NOW,
        by: "Ida",
        why: "the sheet says so",
        mend: { values: { reading_mpas: "95.7" } },
        outcome: "accepted",
        reason: null,
        message: null,
        replaced: null,
      },
    ]);
    // The file itself still says what it said.
    const again = await ingest(store, folder);
    assert.deepEqual([again.totals.repeated, (await store.quarantined()).length], [2, 0]);
    await assert.rejects(reread(store, kept, "released", null, ACTING), /settled already/);
  });

  it("stays held where the new values pass no better, and mends add up", async () => {
    const { store } = await storeWith(`${HEADER}${ROW.replace("95.6", "abc").replace(",95,", ",,")}`);
    const first = await mended(store, { values: { reading_mpas: "95.6" } });
    assert.deepEqual([first.outcome, first.reason], ["held", "unknown-value"]);
    assert.equal((await store.readings()).count, 0);
    const fields = heldFields(await only(store));
    assert.deepEqual(
      fields.find(({ column }) => column === "reading_mpas"),
      { column: "reading_mpas", header: "reading_mpas", before: "abc", mended: "95.6" },
    );
    const second = await mended(store, { values: { fluid_value_mpas: "95" } });
    assert.equal(second.outcome, "accepted");
  });

  it("may be mended in a column that its file lacks, and in no other", async () => {
    const { store } = await storeWith(
      `instrument,checked_at,speed_rpm,full_scale_range_mpas,reading_mpas,fluid_lot\nU-1,2026-03-01,60,200,95.6,L-9\n`,
    );
    await assert.rejects(
      mended(store, { values: { colour: "red" } }),
      (error) => error instanceof IngestError && error.code === "unknown-column",
    );
    assert.equal((await mended(store, { values: { fluid_value_mpas: "95" } })).outcome, "accepted");
  });

  it("is read as its file was: units, dates, decimal comma, by the profile it came with", async () => {
    const store = await emptyStore();
    const folder = writeFiles({
      "b.csv": "Geraet;Datum;Drehzahl;Endwert;Anzeige;Soll\nU-1;01.03.2026 10:00;60;0,2;x;0,095\n",
      "b.profile.json": JSON.stringify({
        columns: {
          Geraet: "instrument",
          Datum: "checked_at",
          Drehzahl: "speed_rpm",
          Endwert: "full_scale_range_mpas",
          Anzeige: "reading_mpas",
          Soll: "fluid_value_mpas",
        },
        units: { reading_mpas: "Pa.s", fluid_value_mpas: "Pa.s", full_scale_range_mpas: "Pa.s" },
        dates: "dd.MM.yyyy HH:mm",
        time_zone: "Europe/Berlin",
        constants: { site: "Quay" },
      }),
    });
    await ingest(store, folder);
    assert.equal((await only(store)).site, "Quay");
    assert.equal((await mended(store, { values: { reading_mpas: "0.0956" } })).reason, "not-a-number");
    assert.equal((await mended(store, { values: { reading_mpas: "0,0956" } })).outcome, "accepted");
    const columns = await store.readings();
    assert.ok(Math.abs(columns.readingMPaS[0]! - 95.6) < 1e-9);
    assert.equal(columns.checkedAtMs[0], Date.parse("2026-03-01T09:00:00Z"));
    assert.deepEqual(columns.names.sites, ["Quay"]);
  });

  it("that is one of a wide row's readings is mended alone", async () => {
    const { store } = await storeWith(
      `instrument,checked_at,fluid_value_mpas,speed_rpm_1,reading_mpas_1,full_scale_range_mpas_1,speed_rpm_2,reading_mpas_2,full_scale_range_mpas_2\nU-1,2026-03-01,95,60,95.6,200,30,oh,400\n`,
    );
    assert.equal((await only(store)).part, 2);
    const columns = heldFields(await only(store)).map(({ column }) => column);
    assert.ok(columns.includes("reading_mpas") && !columns.includes("reading_mpas_1"));
    assert.equal((await mended(store, { values: { reading_mpas: "95.1" } })).outcome, "accepted");
    assert.deepEqual([...(await store.readings()).readingMPaS].sort(), [95.1, 95.6]);
  });

  it("that is one of a nested check's readings is mended alone", async () => {
    const check = {
      instrument: "U-1",
      checked_at: "2026-03-01",
      fluid_value_mpas: 95,
      readings: [
        { speed_rpm: 60, reading_mpas: 95.6, full_scale_range_mpas: 200 },
        { speed_rpm: 30, reading_mpas: -1, full_scale_range_mpas: 400 },
      ],
    };
    const { store } = await storeWith(JSON.stringify([check]), "a.json");
    assert.equal((await mended(store, { values: { reading_mpas: "95.1" } })).outcome, "accepted");
    assert.deepEqual([...(await store.readings()).readingMPaS].sort(), [95.1, 95.6]);
  });

  it("that could not be split is written anew, or put together from values", async () => {
    for (const mend of [
      { row: ROW.trim() },
      {
        values: {
          instrument: "U-1",
          checked_at: "2026-03-01T10:00:00Z",
          speed_rpm: "60",
          full_scale_range_mpas: "200",
          reading_mpas: "95.6",
          fluid_value_mpas: "95",
        },
      },
    ]) {
      const { store } = await storeWith(`${HEADER}U-1,2026-03-01T10:00:00Z,60,200\n`);
      assert.equal((await mended(store, mend)).outcome, "accepted");
      assert.equal((await store.readings()).count, 1);
    }
  });

  it("of a register is mended like one of readings", async () => {
    const { store } = await storeWith("fluid_lot,certified_mpas,expires_on\nL-1,-95,2026-12-31\n");
    assert.equal((await mended(store, { values: { certified_mpas: "95" } })).outcome, "accepted");
    assert.equal((await store.fluids())[0]?.certifiedMPaS, 95);
  });

  it("is released when what was missing has come", async () => {
    const { store } = await storeWith(
      `instrument,checked_at,speed_rpm,full_scale_range_mpas,reading_mpas,fluid_lot\nU-1,2026-03-01,60,200,95.6,L-9\n`,
    );
    const early = await reread(store, await only(store), "released", null, ACTING);
    assert.deepEqual([early.outcome, early.reason], ["held", "unknown-value"]);
    await ingest(store, writeFiles({ "lots.csv": "fluid_lot,certified_mpas\nL-9,95\n" }));
    assert.equal((await reread(store, await only(store), "released", null, ACTING)).outcome, "accepted");
    assert.equal((await store.readings()).fluidValueMPaS[0], 95);
  });

  it("is settled where its file comes again and is taken in now", async () => {
    const { store, folder } = await storeWith(
      `instrument,checked_at,speed_rpm,full_scale_range_mpas,reading_mpas,fluid_lot\nU-1,2026-03-01,60,200,95.6,L-9\n`,
    );
    const { id } = await only(store);
    const again = await ingest(
      store,
      writeFiles({ "lots.csv": "fluid_lot,certified_mpas\nL-9,95\n" }, folder),
    );
    assert.equal(again.totals.accepted, 2);
    const row = (await store.held.find(id))!;
    assert.deepEqual([row.state, row.decisions.map(({ action }) => action)], ["accepted", ["sent-again"]]);
    assert.deepEqual(await store.quarantined(), []);
  });

  it("is settled where its file comes again with the profile that it needed", async () => {
    const { store, folder } = await storeWith(`${HEADER}${ROW.replace("95.6", "0.0956")}`);
    assert.equal((await only(store)).reason, "unit-mixup");
    writeFiles({ "a.profile.json": JSON.stringify({ units: { reading_mpas: "Pa.s" } }) }, folder);
    assert.equal((await ingest(store, folder)).totals.accepted, 1);
    assert.deepEqual(await store.quarantined(), []);
  });

  it("takes the place of the reading that it contradicts only when told to; what stood there is kept", async () => {
    const { store } = await storeWith(`${HEADER}${ROW}${ROW.replace("95.6", "96.6")}`);
    const row = await only(store);
    assert.equal(row.reason, "conflicts");
    assert.equal((await reread(store, row, "released", null, ACTING)).reason, "conflicts");
    const decision = await reread(store, (await store.held.find(row.id))!, "replaced", null, ACTING);
    assert.equal(decision.outcome, "accepted");
    const [before] = JSON.parse(decision.replaced!) as { reading_mpas: number; line: number }[];
    assert.deepEqual([before?.reading_mpas, before?.line], [95.6, 2]);
    const columns = await store.readings();
    assert.deepEqual([columns.count, columns.readingMPaS[0]], [1, 96.6]);
  });

  it("is dismissed with a reason, and stays dismissed when its file comes again", async () => {
    const { store, folder } = await storeWith(`${HEADER}${ROW.replace("95.6", "abc")}`);
    const row = await only(store);
    await dismiss(store, row, ACTING);
    assert.equal((await ingest(store, folder)).totals.quarantined, 1);
    assert.deepEqual(await store.quarantined(), []);
    assert.equal((await store.held.find(row.id))?.state, "dismissed");
    assert.equal((await store.held.list({})).length, 1);
  });

  it("is found by site, file, reason and unit, and counted by them", async () => {
    const store = await emptyStore();
    const bad = ROW.replace("95.6", "abc");
    await ingest(
      store,
      writeFiles({
        "units.csv": "instrument,site,usage\nU-2,Quay,daily\n",
        "a.csv": `${HEADER}${bad}${bad.replace("10:00", "11:00").replace("abc", "-3")}`,
        "b.csv": `${HEADER}${bad.replace("U-1", "U-2").replace("Aldermoor", "")}`,
      }),
    );
    const lines = async (filter: Parameters<Store["held"]["list"]>[0]) =>
      (await store.held.list(filter)).map(({ file, line }) => `${file.split("/").at(-1)}:${line}`);
    assert.deepEqual(await lines({ site: "Quay" }), ["b.csv:2"]);
    assert.deepEqual(await lines({ instrument: "U-1" }), ["a.csv:3", "a.csv:2"]);
    assert.deepEqual(await lines({ reason: "not-a-number", site: "Aldermoor" }), ["a.csv:2"]);
    assert.deepEqual(await lines({ state: "dismissed" }), []);
    const { rows, bySite, byReason } = await store.held.count({});
    assert.deepEqual(
      [rows, bySite, byReason],
      [
        3,
        [
          { name: "Aldermoor", rows: 2 },
          { name: "Quay", rows: 1 },
        ],
        [
          { name: "not-a-number", rows: 2 },
          { name: "negative", rows: 1 },
        ],
      ],
    );
    assert.equal((await store.held.list({}, { offset: 1, limit: 1 })).length, 1);
  });
});
