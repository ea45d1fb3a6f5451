import assert from "node:assert/strict";
import { appendFileSync, chmodSync, mkdirSync, symlinkSync } from "node:fs";
import { join } from "node:path";
import { DatabaseSync } from "node:sqlite";
import { gzipSync } from "node:zlib";
import { describe, it } from "vitest";
import { ingestPaths, openStore, type StoreError } from "../../ingest/index.ts";
import { ingest, NOW, scratchFolder, scratchStore, writeFiles } from "./support/scratch.ts";

const HEADER = "instrument,checked_at,speed_rpm,full_scale_range_mpas,reading_mpas,fluid_value_mpas\n";
const row = (minute: number) => `U-1,${new Date(NOW - minute * 60_000).toISOString()},60,200,95.6,95\n`;
const GOOD = HEADER + row(0);
const GOOD_OBJECT =
  '{"instrument":"U-1","checked_at":"2026-03-01","speed_rpm":60,"full_scale_range_mpas":200,"reading_mpas":95.6,"fluid_value_mpas":95}\n';

/** Takes in one file beside a good one, which must get in whatever is wrong with the other. */
async function reportOf(content: string | Uint8Array, name = "bad.csv") {
  const folder = writeFiles({ [name]: content, "good.csv": GOOD });
  const store = await scratchStore();
  const { files } = await ingest(store, folder);
  const good = files.find((file) => file.file.endsWith("good.csv"));
  assert.equal(good?.accepted, 1);
  assert.equal((await store.readings({ instrument: "U-1" })).count > 0, true);
  const bad = files.find((file) => !file.file.endsWith("good.csv"))!;
  if (bad.error !== null) {
    assert.doesNotMatch(bad.error, /\n/);
    assert.equal(bad.rows, 0);
    assert.equal((await store.files()).length, 1);
  }
  return bad;
}

const errorOf = async (content: string | Uint8Array, name?: string) =>
  (await reportOf(content, name)).error ?? "";

describe("a file that cannot be taken in", () => {
  it("says what is wrong in one line, and lets the others in", async () => {
    assert.match(await errorOf(""), /The file is empty/);
    assert.match(await errorOf(" \n\n"), /The file is empty/);
    assert.match(await errorOf(Buffer.from([0x89, 0x50, 0x4e, 0x47, 0, 0, 0, 13])), /The file is no text/);
    assert.match(await errorOf("hello\n"), /fit no kind of file .* Found: hello/);
    assert.match(
      await errorOf("# About these files\n\nNothing to read.\n", "README.md"),
      /fit no kind of file/,
    );
    assert.match(
      await errorOf(HEADER.replace("speed_rpm", "rpm") + row(1)),
      /a column is missing: speed_rpm\. Found: instrument, checked_at, rpm/,
    );
    assert.match(await errorOf(`instrument,${HEADER}`), /Two columns mean instrument/);
    assert.match(await errorOf("[1, 2]", "bad.json"), /holds no objects that can be read/);
    assert.match(await errorOf("[]", "bad.json"), /holds no objects/);
    assert.match(await errorOf('{"a": 1}\n', "bad.ndjson"), /fit no kind of file .* Found: a\./);
    assert.match(
      await errorOf(gzipSync(GOOD).subarray(0, 40), "bad.csv.gz"),
      /gzip file is damaged or cut short/,
    );
  });

  it("is refused where a line has no end, in text or unzipped", async () => {
    const endless = HEADER + row(1) + "x".repeat(2_000_000);
    assert.match(await errorOf(endless), /Line 3 is longer than 1,048,576 characters/);
    assert.match(await errorOf(gzipSync(endless), "bad.csv.gz"), /Line 3 is longer than/);
    assert.match(await errorOf(`${"c,".repeat(1_000_000)}\n`), /holds no|longer than|columns/);
  });

  it("is refused where it unfolds without end", async () => {
    const bomb = gzipSync(Buffer.concat([Buffer.from(HEADER), Buffer.alloc(80_000_000, "\n")]), { level: 9 });
    assert.match(await errorOf(bomb, "bomb.csv.gz"), /unfolds to more than 200 times its size/);
  });

  it("says what is wrong with the profile beside it", async () => {
    const folder = writeFiles({
      "a.csv": GOOD,
      "a.profile.json": '{"colums": {}}',
      "b.csv": HEADER + row(2),
    });
    const { files } = await ingest(await scratchStore(), folder);
    assert.match(files[0]?.error ?? "", /a\.profile\.json cannot be used: it does not know the key "colums"/);
    assert.equal(files[1]?.accepted, 1);
    await assert.rejects(
      async () => ingest(await scratchStore(), folder, { profile: join(folder, "none.json") }),
      /The profile .*none\.json cannot be used: there is no such file/,
    );
  });

  it("keeps nothing of a file that fails half way", async () => {
    const many = Array.from({ length: 5000 }, (_, i) => row(i)).join("");
    const store = await scratchStore();
    const { files } = await ingest(
      store,
      writeFiles({ "a.csv": `${HEADER}${many}${"x".repeat(1_100_000)}\n` }),
    );
    assert.match(files[0]?.error ?? "", /Line 5002 is longer/);
    assert.equal((await store.readings()).count, 0);
    assert.deepEqual(await store.files(), []);
    assert.equal(await store.revision(), 0);
  });

  it("is refused where it changed while it was read", async () => {
    const path = join(
      writeFiles({ "grows.csv": HEADER + Array.from({ length: 9000 }, (_, i) => row(i)).join("") }),
      "grows.csv",
    );
    const store = await scratchStore();
    let grown = false;
    const grow = () => {
      if (!grown) appendFileSync(path, row(9999));
      grown = true;
    };
    const { files } = await ingest(store, path, { now: () => NOW, onProgress: grow });
    assert.match(files[0]?.error ?? "", /The file changed while it was being read/);
    assert.equal((await store.readings()).count, 0);
  });
});

describe("rows that nobody meant", () => {
  it("are held back or passed over, one by one", async () => {
    const counts = async (rows: string | Uint8Array, name?: string) => {
      const { rows: all, accepted, quarantined, reasons } = await reportOf(rows, name);
      return { all, accepted, quarantined, reasons };
    };
    assert.deepEqual(await counts(HEADER), { all: 0, accepted: 0, quarantined: 0, reasons: {} });
    assert.deepEqual(await counts(`${HEADER}U-\u0000,2026-03-01,60,200,95.6,95\n${row(1)}`), {
      all: 2,
      accepted: 1,
      quarantined: 1,
      reasons: { "unreadable-row": 1 },
    });
    const deep = `[${'{"a":'.repeat(10_000)}1${"}".repeat(10_000)},\n{"instrument":"U-1","checked_at":"2026-03-01","speed_rpm":60,"full_scale_range_mpas":200,"reading_mpas":95.6,"fluid_value_mpas":95}]`;
    assert.deepEqual((await counts(deep, "deep.json")).accepted, 1);
    const formula = HEADER + row(1).replace("U-1", "=1+1").replace("95.6", "=A1");
    assert.deepEqual((await counts(formula)).reasons, { "not-a-number": 1 });
    const named = (name: string) => GOOD_OBJECT.replace("U-1", name);
    const halves = named("\\ud800") + named("\\udc01") + named("\\ud83d\\ude00") + named("\\u0000");
    assert.deepEqual(await counts(halves, "lone.ndjson"), {
      all: 4,
      accepted: 1,
      quarantined: 3,
      reasons: { "unreadable-row": 3 },
    });
    const halfIn16Bits = Buffer.from(`\uFEFF${GOOD}${row(2).replace("U-1", "U-\ud800")}`, "utf16le");
    assert.equal((await counts(halfIn16Bits, "lone.csv")).all, 2);
  });
});

describe("paths that lead nowhere", () => {
  it("are told one by one, and the others go on", async () => {
    const folder = writeFiles({ "good.csv": GOOD, "p.profile.json": "{}", ".hidden.csv": GOOD });
    mkdirSync(join(folder, "empty"));
    symlinkSync(folder, join(folder, "loop"));
    symlinkSync("nowhere", join(folder, "dangling.csv"));
    const store = await scratchStore();
    const paths = ["missing.csv", "empty", "p.profile.json", "", "good.csv"].map((name) =>
      join(folder, name),
    );
    const { files } = await ingestPaths(store, paths, { now: () => NOW });
    assert.deepEqual(
      files.map(({ file, error, accepted }) => [file.slice(folder.length + 1), accepted, error]),
      [
        ["missing.csv", 0, "There is no such file or folder."],
        ["empty", 0, "The folder holds no files."],
        ["p.profile.json", 0, "This is a profile: it serves the file beside it, or all files by --profile."],
        ["dangling.csv", 0, "There is no such file or folder."],
        ["good.csv", 1, null],
      ],
    );
  });

  it("include what may not be read", async () => {
    // Both ways are tested: root may read everything, so that there the file is taken in.
    const folder = writeFiles({ "locked.csv": GOOD });
    chmodSync(join(folder, "locked.csv"), 0);
    const [file] = (await ingest(await scratchStore(), folder)).files;
    if (process.getuid?.() === 0) assert.equal(file?.accepted, 1);
    else assert.match(file?.error ?? "", /It may not be read/);
  });
});

describe("a store that cannot be opened", () => {
  const code = (expected: string, message: RegExp) => (error: unknown) => {
    const { code: actual, message: text } = error as StoreError;
    assert.equal(actual, expected);
    assert.match(text, message);
    assert.doesNotMatch(text, /\n/);
    return true;
  };

  it("says what it is and what to do", async () => {
    const folder = writeFiles({ "text.sqlite": "This is a letter, not a store.\n".repeat(50) });
    new DatabaseSync(join(folder, "other.sqlite")).exec("CREATE TABLE customer (id INTEGER)");
    const url = (name: string) => `sqlite:${join(folder, name)}`;
    await assert.rejects(openStore(url("text.sqlite")), code("not-a-store", /is not a Springtide store/));
    await assert.rejects(openStore(url("other.sqlite")), code("not-a-store", /is not a Springtide store/));
    await assert.rejects(openStore(`sqlite:${folder}`), code("not-a-store", /is not a Springtide store/));
    await assert.rejects(
      openStore(url("no/such/folder.sqlite")),
      code("store-unreadable", /folder .* does not exist/),
    );
    await assert.rejects(
      openStore(url("new.sqlite"), { create: false }),
      code("no-store", /ingest some files first/),
    );
    await assert.rejects(openStore("sqlite:"), code("bad-store-address", /write sqlite:FILE/));
    await assert.rejects(openStore("store.sqlite"), code("bad-store-address", /write sqlite:FILE/));
  });

  it("says that a newer version made it", async () => {
    const folder = scratchFolder();
    await (await scratchStore(folder)).close();
    const path = join(folder, "store.sqlite");
    const later = new DatabaseSync(path);
    later.exec("INSERT INTO migration (name, timestamp) VALUES ('999-later', '2030-01-01')");
    later.close();
    await assert.rejects(openStore(`sqlite:${path}`), code("store-newer", /made by a newer version/));
  });

  it("leaves another program's database as it was", async () => {
    const path = join(scratchFolder(), "other.sqlite");
    const other = new DatabaseSync(path);
    other.exec("CREATE TABLE customer (id INTEGER)");
    await assert.rejects(openStore(`sqlite:${path}`));
    assert.deepEqual(
      other
        .prepare("SELECT name FROM sqlite_schema")
        .all()
        .map((table) => table.name),
      ["customer"],
    );
    assert.equal(other.prepare("PRAGMA journal_mode").get()?.journal_mode, "delete");
    other.close();
  });
});
