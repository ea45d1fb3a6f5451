import assert from "node:assert/strict";
import { cpSync, readFileSync, renameSync, rmSync } from "node:fs";
import { join } from "node:path";
import { gzipSync } from "node:zlib";
import { describe, it } from "vitest";
import { type FileReport, flagsOf, ingestPaths, type Progress } from "../../ingest/index.ts";
import { contents, ingest, NOW, scratchFolder, scratchStore, writeFiles } from "./support/scratch.ts";

const FIXTURES = "tests/fixtures/ingest";
const expected = JSON.parse(readFileSync(join(FIXTURES, "expected.json"), "utf8")) as Record<
  string,
  Partial<FileReport>
>;

/** A folder with the fixture files, without what is expected of them. */
function fixtureFolder(): string {
  const folder = scratchFolder();
  cpSync(FIXTURES, folder, { recursive: true });
  rmSync(join(folder, "expected.json"));
  return folder;
}

const HEADER = "instrument,checked_at,speed_rpm,full_scale_range_mpas,reading_mpas,fluid_value_mpas\n";
const row = (day: number, reading = 95.6, range = 200) =>
  `U-1,2026-03-${String(day).padStart(2, "0")}T10:00:00Z,60,${range},${reading},95\n`;

describe("ingestPaths on the sample files", () => {
  it("comes to what is expected of each file, and nothing is lost", async () => {
    const folder = fixtureFolder();
    const { files, totals } = await ingest(await scratchStore(), folder);
    const byName = new Map(files.map((file) => [file.file.slice(folder.length + 1), file]));
    assert.deepEqual([...byName.keys()].sort(), Object.keys(expected).sort());
    for (const [name, report] of Object.entries(expected)) {
      const { file: _, read_as: __, first_held, notes, error, ...counts } = byName.get(name)!;
      assert.deepEqual(notes, []);
      assert.deepEqual(new Set(first_held.map(({ reason }) => reason)), new Set(Object.keys(counts.reasons)));
      assert.equal(error, null);
      assert.deepEqual(counts, report, name);
    }
    assert.equal(totals.rows, totals.accepted + totals.repeated + totals.quarantined);
    assert.equal(totals.rows, 58);
  });

  it("keeps each held row word for word with its line, and the values of the others", async () => {
    const folder = fixtureFolder();
    const store = await scratchStore();
    await ingest(store, folder);
    for (const { file, line, part, raw, message } of await store.quarantined()) {
      const text = readFileSync(file, "utf8");
      assert.ok(text.includes(raw), raw);
      const lineText = text.split("\n")[line - 1]!;
      assert.ok(lineText.includes(raw.split("\n")[0]!), `${file} line ${line}: ${raw}`);
      assert.ok(part >= 0);
      assert.match(message, /^[^\n]+[.?]$/);
    }
    const { count, names, instrument, readingMPaS, fullScaleRangeMPaS, operator, flags, check } =
      await store.readings();
    const rowsOf = (name: string) =>
      Array.from({ length: count }, (_, i) => i).filter((i) => names.instruments[instrument[i]!] === name);
    const [computed] = rowsOf("008");
    assert.ok(Math.abs(fullScaleRangeMPaS[computed!]! - 265.4) < 0.05);
    assert.equal(names.operators[operator[computed!]!], "Smith, J");
    const [, , fromTorque] = rowsOf("020").map((i) => readingMPaS[i]!);
    assert.equal(fromTorque, 95.6);
    assert.deepEqual(
      rowsOf("007").map((i) => [check[i]! - check[rowsOf("007")[0]!]!, flagsOf(flags[i]!).join()]),
      [
        [0, ""],
        [0, ""],
        [0, ""],
        [1, "temperature-off"],
        [1, "temperature-off,outlier"],
        [1, "temperature-off"],
        [2, "looks-nominal"],
        [3, "torque-low,lot-unknown"],
        [4, "lot-expired"],
      ],
    );
  });

  it("names the first rows of each reason, and the lot that an unregistered one was likely meant to be", async () => {
    const readings = (lot: string, day: number) =>
      `U-1,2026-03-${day}T10:00:00Z,60,200,${day > 14 ? "x" : "95.6"},95,${lot}\n`;
    const rows = [10, 11, 12, 13].map((day) => readings("lot104", day)).join("") + readings("L-9", 14);
    const spoilt = [15, 16, 17, 18].map((day) => readings("LOT-104", day)).join("");
    const folder = writeFiles({
      "a.csv": HEADER.replace("\n", ",fluid_lot\n") + rows + spoilt,
      "b.csv": "fluid_lot,certified_mpas\nLOT-104,95\nLOT-105,96\n",
    });
    const [readingsFile] = (await ingest(await scratchStore(), folder)).files;
    assert.deepEqual(readingsFile?.notes, [
      '4 readings name the lot "lot104", which is not registered, while "LOT-104" is: the same lot?',
    ]);
    assert.deepEqual(
      readingsFile?.first_held.map(({ reason, line }) => [reason, line]),
      [7, 8, 9].map((line) => ["not-a-number", line]),
    );
    assert.match(readingsFile?.first_held[0]?.message ?? "", /"x" in reading_mpas is not a number/);
  });

  it("changes nothing when everything is sent again, under other names too", async () => {
    const folder = fixtureFolder();
    const store = await scratchStore();
    const first = await ingest(store, folder);
    const before = await contents(store);
    const revision = await store.revision();
    const again = await ingest(store, folder);
    renameSync(join(folder, "long.csv"), join(folder, "renamed.csv"));
    const renamed = await ingest(store, folder);
    for (const { totals } of [again, renamed]) {
      assert.equal(totals.accepted, 0);
      assert.equal(totals.rows, first.totals.rows);
      assert.equal(totals.quarantined, first.totals.quarantined);
    }
    assert.deepEqual(await contents(store), before);
    assert.equal(await store.revision(), revision);
  });

  it("answers for a file whose rows are all stored without reading them again", async () => {
    const folder = writeFiles({ "a.csv": HEADER + row(1) + row(2) });
    const store = await scratchStore();
    await ingest(store, folder);
    const { files } = await ingest(store, folder);
    assert.deepEqual(
      files.map(({ rows, accepted, repeated }) => [rows, accepted, repeated]),
      [[2, 0, 2]],
    );
    assert.equal((await store.files()).length, 1);
  });

  it("takes only what is new of a longer version of a file", async () => {
    const folder = writeFiles({ "a.csv": HEADER + row(1) + row(2, -1) });
    const store = await scratchStore();
    await ingest(store, folder);
    writeFiles({ "a.csv": HEADER + row(1) + row(2, -1) + row(3) }, folder);
    const { totals } = await ingest(store, folder);
    assert.deepEqual(totals, { rows: 3, accepted: 1, repeated: 1, quarantined: 1, flagged: 0 });
    assert.equal((await store.quarantined()).length, 1);
  });

  it("lets held rows in when what they lacked has come", async () => {
    const readings =
      "instrument,checked_at,speed_rpm,full_scale_range_mpas,reading_mpas,fluid_lot\nU-1,2026-03-01,60,200,95.6,L\n";
    const folder = writeFiles({ "a.csv": readings });
    const store = await scratchStore();
    assert.deepEqual((await ingest(store, folder)).files[0]?.reasons, { "unknown-value": 1 });
    writeFiles({ "z.csv": "fluid_lot,certified_mpas\nL,95\n" }, folder);
    assert.equal((await ingest(store, folder)).files[0]?.accepted, 1);
  });

  it("rehearses with dryRun: the same report, and nothing kept", async () => {
    const folder = fixtureFolder();
    const store = await scratchStore();
    const rehearsed = await ingest(store, folder, { dryRun: true });
    assert.equal((await store.readings()).count, 0);
    assert.equal(await store.revision(), 0);
    assert.deepEqual((await store.files()).length, 0);
    assert.deepEqual(await ingest(store, folder), rehearsed);
  });

  it("comes to the same store in whatever order the files are named", async () => {
    const folder = fixtureFolder();
    const paths = Object.keys(expected).map((name) => join(folder, name));
    const [forward, backward] = [await scratchStore(), await scratchStore()];
    await ingestPaths(forward, paths, { now: () => NOW });
    await ingestPaths(backward, paths.toReversed(), { now: () => NOW });
    assert.deepEqual(await contents(forward), await contents(backward));
  });

  it("comes to the same flags when certificates come after the readings", async () => {
    const folder = fixtureFolder();
    const [together, apart] = [await scratchStore(), await scratchStore()];
    await ingest(together, folder);
    const given = writeFiles({ "long.csv": readFileSync(join(folder, "long.csv")) });
    await ingest(apart, given);
    await ingest(apart, join(folder, "registers"));
    const flagsByLine = async (store: typeof together) => {
      const { flags, line, instrument, names } = await store.readings({ instrument: "007" });
      return Object.fromEntries(
        [...line].map((at, i) => [`${names.instruments[instrument[i]!]} ${at}`, flags[i]]),
      );
    };
    const late = await flagsByLine(apart);
    const timely = await flagsByLine(together);
    for (const [at, flags] of Object.entries(late)) assert.equal(flags, timely[at], at);
    assert.ok(Object.keys(late).length >= 6);
  });

  it("judges a check by all its readings, from whichever files they came", async () => {
    const check = (reading: number, speed: number, range: number) =>
      `U-1,2026-03-01T10:00:00Z,${speed},${range},${reading},95\n`;
    const folder = writeFiles({
      "1.csv": HEADER + check(110, 60, 200),
      "2.csv": HEADER + check(95.2, 30, 400),
      "3.csv": HEADER + check(95.1, 100, 120),
    });
    const store = await scratchStore();
    const { files } = await ingest(store, folder);
    assert.deepEqual(
      files.map(({ flagged }) => flagged),
      [0, 0, 0],
    );
    const { flags, speedRpm } = await store.readings();
    assert.deepEqual(
      [...flags].map((bits, i) => [speedRpm[i], flagsOf(bits).join()]),
      [
        [30, ""],
        [60, "outlier"],
        [100, ""],
      ],
    );
  });

  it("does not take a reading for an outlier because the label's value stands beside it", async () => {
    const header =
      "check_id,instrument,checked_at,speed_rpm,full_scale_range_mpas,reading_mpas,fluid_value_mpas,fluid_lot\n";
    const check = (speed: number, range: number, value: number) =>
      `C1,U-1,2026-03-01T10:00:00Z,${speed},${range},91.8,${value},L\n`;
    const readings = header + check(15, 400, 91.3) + check(30, 200, 91.3) + check(60, 100, 100);
    const fluids = "fluid_lot,nominal_mpas,certified_mpas\nL,100,91.3\n";
    const together = await scratchStore();
    await ingest(together, writeFiles({ "a.csv": readings, "b.csv": fluids }));
    const apart = await scratchStore();
    await ingest(apart, writeFiles({ "a.csv": readings }));
    await ingest(apart, writeFiles({ "b.csv": fluids }));
    for (const store of [together, apart]) {
      const { flags } = await store.readings();
      assert.deepEqual(
        [...flags].map((bits) => flagsOf(bits).join()),
        ["", "", "looks-nominal"],
      );
    }
  });

  it("does not turn a stored reading away for what is learned later", async () => {
    const folder = writeFiles({ "1.csv": HEADER + row(1, 95.6, 300) });
    const store = await scratchStore();
    assert.equal((await ingest(store, folder)).totals.accepted, 1);
    const more = [2, 3, 4, 5, 6, 7].map((day) => row(day)).join("");
    writeFiles({ "1.csv": HEADER + row(1, 95.6, 300) + row(8, 95.6, 300) + more }, folder);
    const { totals, files } = await ingest(store, folder);
    assert.deepEqual(totals, { rows: 8, accepted: 6, repeated: 1, quarantined: 1, flagged: 0 });
    assert.deepEqual(files[0]?.reasons, { "range-disagrees": 1 });
  });

  it("tells how far it is, now and then", async () => {
    let clock = NOW;
    const seen: Progress[] = [];
    const folder = writeFiles({ "a.csv": HEADER + row(1), "b.csv": HEADER + row(2) });
    const now = () => {
      clock += 200;
      return clock;
    };
    await ingest(await scratchStore(), folder, { now, onProgress: (progress) => seen.push(progress) });
    assert.ok(seen.length > 0);
    for (const { file, bytesRead, bytesTotal } of seen) {
      assert.ok(file.startsWith(folder));
      assert.ok(bytesRead > 0 && bytesRead <= bytesTotal);
    }
  });
});

describe("ingestPaths on a site's own files", () => {
  const german =
    "Gerät;Zeit;Drehzahl;Messbereich;Messwert;Soll;Temperatur;Anlass\r\n0042;01.07.2025 10:00:00;0,5;0,2;0,0956;0,095;77,0;Vorher\r\n";
  const profile = {
    columns: {
      Gerät: "instrument",
      Zeit: "checked_at",
      Drehzahl: "speed_rpm",
      Messbereich: "full_scale_range_mpas",
      Messwert: "reading_mpas",
      Soll: "fluid_value_mpas",
      Temperatur: "temperature_c",
      Anlass: "stage",
    },
    units: {
      speed_rpm: "1/s",
      reading_mpas: "Pa·s",
      fluid_value_mpas: "Pa.s",
      full_scale_range_mpas: "Pa s",
      temperature_c: "°F",
    },
    dates: "dd.MM.yyyy HH:mm:ss",
    time_zone: "Europe/Berlin",
    constants: { site: "Brackwater" },
    stages: { Vorher: "as_found" },
  };

  const encoded: Record<string, Uint8Array> = {
    "utf-8": Buffer.from(german),
    "utf-8 with mark": Buffer.from(`\uFEFF${german}`),
    "utf-16le": Buffer.from(`\uFEFF${german}`, "utf16le"),
    "utf-16le without mark": Buffer.from(german, "utf16le"),
    "utf-16be": Buffer.from(`\uFEFF${german}`, "utf16le").swap16(),
    "windows-1252": Buffer.from(german, "latin1"),
    gzip: gzipSync(german),
  };

  for (const [name, bytes] of Object.entries(encoded)) {
    it(`reads them in ${name}, by the profile beside them`, async () => {
      const folder = writeFiles({ "checks.csv": bytes, "checks.profile.json": JSON.stringify(profile) });
      const store = await scratchStore();
      const { files } = await ingest(store, folder);
      assert.equal(files.length, 1);
      assert.equal(files[0]?.error, null);
      assert.equal(files[0]?.read_as?.encoding, name === "gzip" ? "utf-8" : name.split(" ")[0]);
      const { encoding: _, ...readAs } = files[0]!.read_as!;
      assert.deepEqual(readAs, {
        form: "csv",
        delimiter: ";",
        decimal: ",",
        dates: "dd.MM.yyyy HH:mm:ss",
        time_zone: "Europe/Berlin",
      });
      const { names, checkedAtMs, speedRpm, readingMPaS, fullScaleRangeMPaS, temperatureC, stage } =
        await store.readings();
      assert.deepEqual(names.instruments, ["0042"]);
      assert.deepEqual(names.sites, ["Brackwater"]);
      assert.equal(new Date(checkedAtMs[0]!).toISOString(), "2025-07-01T08:00:00.000Z");
      assert.deepEqual([speedRpm[0], fullScaleRangeMPaS[0], temperatureC[0], stage[0]], [30, 200, 25, 1]);
      // 0.0956 x 1000 is off by one rounding of a binary fraction.
      assert.ok(Math.abs(readingMPaS[0]! - 95.6) < 1e-12 * 95.6);
    });
  }

  it("serves all files of a call by one profile, and knows the same bytes under another as another file", async () => {
    const folder = writeFiles({
      "a.csv": german,
      "b.tsv": german.replaceAll(";", "\t").replace("0042", "0043"),
    });
    const profiles = writeFiles({
      "p.json": JSON.stringify(profile),
      "q.json": JSON.stringify({ ...profile, time_zone: "UTC" }),
    });
    const store = await scratchStore();
    const first = await ingest(store, folder, { profile: join(profiles, "p.json") });
    assert.equal(first.totals.accepted, 2);
    assert.equal((await ingest(store, folder, { profile: join(profiles, "p.json") })).totals.repeated, 2);
    assert.equal((await ingest(store, folder, { profile: join(profiles, "q.json") })).totals.accepted, 2);
  });

  it("reads a wide sheet of quoted decimal commas", async () => {
    const text = `instrument,checked_at,fluid_value_mpas,speed_rpm_1,full_scale_range_mpas_1,reading_mpas_1\n"7","2026-03-01","95","0,5","200","95,6"\n`;
    const store = await scratchStore();
    const { files } = await ingest(store, writeFiles({ "w.csv": text }));
    assert.equal(files[0]?.accepted, 1);
    assert.equal((await store.readings()).readingMPaS[0], 95.6);
  });

  it("reads texts with a decimal comma beside numbers of JSON", async () => {
    const check = (i: number) => ({
      instrument: "7",
      checked_at: `2026-03-0${i}`,
      speed_rpm: 12.5,
      full_scale_range_mpas: 200.5,
      fluid_value_mpas: 95.5,
      temperature_c: 25.1,
      reading_mpas: "95,6",
    });
    const store = await scratchStore();
    const { files } = await ingest(store, writeFiles({ "a.json": JSON.stringify([check(1), check(2)]) }));
    assert.deepEqual([files[0]?.accepted, files[0]?.read_as?.decimal], [2, ","]);
    const { readingMPaS, speedRpm } = await store.readings();
    assert.deepEqual([readingMPaS[0], speedRpm[0]], [95.6, 12.5]);
  });
});
