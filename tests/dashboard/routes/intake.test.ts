import assert from "node:assert/strict";
import { mkdtempSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { request } from "node:http";
import { tmpdir } from "node:os";
import { basename, join } from "node:path";
import { afterAll, afterEach, beforeEach, describe, it, vi } from "vitest";
import { type IngestReport, ingestPaths, type Store } from "../../../ingest/index.ts";
import { fixtureAssessment } from "../support/fixture-fleet.ts";
import { MOST_BYTES, type RunningApp, runApp } from "../support/running-app.ts";

const HEADER = "instrument,checked_at,speed_rpm,full_scale_range_mpas,reading_mpas,fluid_value_mpas,site\n";
const ROW = "U-1,2026-03-01T10:00:00Z,60,200,95.6,95,Quay\n";
const BAD = "U-1,2026-03-02T10:00:00Z,60,200,=abc,95,Quay\n";

// Other tests receive files at the same time: what is left over is looked for where only these here put any.
const ownFolder = mkdtempSync(join(tmpdir(), "springtide-test-"));
vi.stubEnv("TMPDIR", ownFolder);
afterAll(() => {
  vi.unstubAllEnvs();
  rmSync(ownFolder, { recursive: true, force: true });
});

let app: RunningApp;
let store: Store;
let url: string;

beforeEach(async () => {
  app = await runApp(fixtureAssessment(1));
  ({ store, url } = app);
});
afterEach(async () => {
  assert.deepEqual(app.reported, []);
  await app.stop();
});

function form(files: Readonly<Record<string, string>>): FormData {
  const data = new FormData();
  for (const [name, text] of Object.entries(files)) data.append("files", new Blob([text]), name);
  return data;
}

async function post(
  path: string,
  body: string | FormData | URLSearchParams,
  headers: Record<string, string> = {},
) {
  return fetch(url + path, { method: "POST", body, headers, redirect: "manual" });
}

/** `fetch` sets some headers itself; this sends what it is given. */
function postPlain(headers: Record<string, string>): Promise<number> {
  return new Promise((resolve, reject) => {
    const sent = request(`${url}/api/intake?name=a.csv`, { method: "POST", headers }, (response) => {
      response.resume();
      resolve(response.statusCode ?? 0);
    });
    sent.on("error", reject);
    sent.end(HEADER + ROW);
  });
}

const leftOver = () => readdirSync(tmpdir()).filter((name) => name.startsWith("springtide-intake-"));

describe("POST /api/intake", () => {
  it("takes the files of a form, with the same answer as ingest --json, and leaves nothing behind", async () => {
    const before = leftOver();
    const response = await post("/api/intake", form({ "a.csv": HEADER + ROW + BAD, "b.txt": "no table" }));
    assert.equal(response.status, 200);
    const { files, totals } = (await response.json()) as IngestReport;
    assert.deepEqual(totals, { rows: 2, accepted: 1, repeated: 0, quarantined: 1, flagged: 0 });
    assert.deepEqual(
      files.map(({ file, error }) => [file, error === null]),
      [
        ["a.csv", true],
        ["b.txt", false],
      ],
    );
    assert.deepEqual(
      (await store.files()).map(({ file }) => file),
      ["a.csv"],
    );
    assert.deepEqual(leftOver(), before);
  });

  it("takes a body as a file by the name in the address", async () => {
    const response = await post("/api/intake?name=a.csv", HEADER + ROW);
    assert.equal(((await response.json()) as IngestReport).totals.accepted, 1);
    const again = await post("/api/intake", HEADER + ROW, {
      "Content-Disposition": 'attachment; filename="b.csv"',
    });
    assert.equal(((await again.json()) as IngestReport).totals.repeated, 1);
  });

  it("reads a file by the profile that came along", async () => {
    const response = await post(
      "/api/intake",
      form({
        "a.csv": HEADER + ROW.replace("95.6", "0.0956"),
        "a.profile.json": JSON.stringify({ units: { reading_mpas: "Pa.s" } }),
      }),
    );
    assert.equal(((await response.json()) as IngestReport).totals.accepted, 1);
  });

  it("refuses names that lead elsewhere, and bodies without one", async () => {
    for (const name of ["../a.csv", "..\\a.csv", "/etc/a.csv", ".hidden", "a\u0000.csv", "C:a.csv", ""]) {
      const response = await post(`/api/intake?name=${encodeURIComponent(name)}`, HEADER + ROW);
      assert.equal(response.status, 400, name);
      assert.ok(((await response.json()) as { detail: string }).detail.length > 10);
    }
    assert.equal((await post("/api/intake", form({ "../a.csv": HEADER + ROW }))).status, 400);
    assert.equal((await post("/api/intake", form({}))).status, 400);
    assert.deepEqual(await store.files(), []);
  });

  it("stops at a bound, and keeps nothing", async () => {
    const before = leftOver();
    const much = HEADER + ROW.repeat(MOST_BYTES / ROW.length + 1);
    assert.equal((await post("/api/intake", form({ "a.csv": much }))).status, 413);
    assert.equal((await post("/api/intake?name=a.csv", much)).status, 413);
    assert.equal((await store.files()).length, 0);
    assert.deepEqual(leftOver(), before);
  });

  it("refuses what another site's page sends", async () => {
    const host = new URL(url).host;
    assert.equal(await postPlain({ host, origin: url }), 200);
    assert.equal(await postPlain({ host, "sec-fetch-site": "same-origin" }), 200);
    for (const headers of [
      { host, origin: "http://elsewhere.example" },
      { host, origin: "null" },
      { host, "sec-fetch-site": "cross-site" },
      { host, "sec-fetch-site": "same-site" },
      { host: "elsewhere.example", origin: "http://elsewhere.example" },
      { origin: "null" },
      { origin: "null", "sec-fetch-site": "cross-site" },
    ]) {
      assert.equal(await postPlain(headers), 403, JSON.stringify(headers));
    }
    // A form on a page of ours that gives no referrer.
    assert.equal(await postPlain({ origin: "null", "sec-fetch-site": "same-origin" }), 200);
  });

  it("takes several requests at once, each reading once", async () => {
    const answers = await Promise.all(
      Array.from({ length: 6 }, async (_, i) => {
        const response = await post("/api/intake", form({ [`${i}.csv`]: HEADER + ROW + BAD }));
        return ((await response.json()) as IngestReport).totals;
      }),
    );
    assert.equal(
      answers.reduce((sum, { accepted }) => sum + accepted, 0),
      1,
    );
    assert.equal((await store.readings()).count, 1);
  });
});

describe("the intake page", () => {
  it("shows what came and what is held, and answers a plain form with the same report", async () => {
    const sent = await post("/intake", form({ "a.csv": HEADER + ROW + BAD }));
    const text = await sent.text();
    assert.match(text, /1 row taken in, 1 held back\./);
    assert.match(text, /CSV, comma, utf-8, decimal point/);
    const page = await (await fetch(`${url}/intake`)).text();
    assert.match(page, /One row is held back\./);
    assert.match(page, /a\.csv, line 3/);
    assert.match(await (await fetch(`${url}/intake?site=Nowhere`)).text(), /No such row/);
    assert.equal((await fetch(`${url}/intake?reason=odd`)).status, 400);
  });

  it("names the first rows of each reason, leads to the rows of one, and shows names without their folder", async () => {
    const third = ROW.replace("03-01", "03-03").replace("95.6", "-1");
    const sent = await (await post("/intake", form({ "a.csv": HEADER + ROW + BAD + third }))).text();
    assert.match(sent, /<h3>not-a-number<\/h3>\s*<ul class="first-held"><li>a\.csv, line 3: /);
    assert.match(sent, /<h3>negative<\/h3>\s*<ul class="first-held"><li>a\.csv, line 4: -1 in reading_mpas/);
    assert.match(sent, /href="\/intake\?reason=negative#held">negative<\/a> 1/);
    const place = {
      now: () => Date.parse("2026-04-01"),
      nameOf: (path: string) => `/sent/north/${basename(path)}`,
    };
    const folder = mkdtempSync(join(tmpdir(), "springtide-names-"));
    for (const name of ["b.csv", "c.csv"])
      writeFileSync(join(folder, name), HEADER + ROW.replace("U-1", name));
    const other = await runApp(fixtureAssessment(1));
    await ingestPaths(other.store, [folder], place);
    const shown = await (await fetch(`${other.url}/intake`)).text();
    await other.stop();
    rmSync(folder, { recursive: true });
    assert.match(shown, /All of them lay in \/sent\/north\//);
    assert.match(shown, /<th scope="row" title="\/sent\/north\/b\.csv">b\.csv</);
  });

  it("puts the field that the objection names first", async () => {
    await post("/intake", form({ "a.csv": HEADER + BAD }));
    const { id } = (await store.held.list({}))[0]!;
    const fields = (await (await fetch(`${url}/intake/held/${id}`)).text()).match(/(?<=for="field-)\w+/g);
    assert.deepEqual(fields?.slice(0, 2), ["reading_mpas", "instrument"]);
  });

  it("mends a row by its form, and keeps old and new side by side", async () => {
    await post("/intake", form({ "a.csv": HEADER + ROW + BAD }));
    const { id } = (await store.held.list({}))[0]!;
    const path = `/intake/held/${id}`;
    const decide = (fields: Record<string, string>) => post(path, new URLSearchParams(fields));
    assert.equal((await decide({ action: "mend", "new-reading_mpas": "95" })).status, 400);
    assert.equal((await decide({ action: "mend", by: "Ida", why: "typing error" })).status, 400);
    assert.equal((await decide({ action: "hang", by: "Ida", why: "x" })).status, 400);

    await decide({ action: "mend", by: "Ida", why: "typing error", "new-reading_mpas": "-5" });
    assert.match(await (await fetch(url + path)).text(), /-5 in reading_mpas is below zero/);
    const done = await decide({ action: "mend", by: "Ida", why: "typing error", "new-reading_mpas": "95.2" });
    assert.deepEqual([done.status, done.headers.get("location")], [303, path]);
    assert.equal((await store.readings()).count, 2);
    const shown = await (await fetch(url + path)).text();
    assert.match(shown, /Ida: mended \(reading_mpas: 95\.2\)/);
    assert.match(shown, /=abc/);
    assert.equal((await decide({ action: "dismiss", by: "Ida", why: "x" })).status, 409);
    assert.equal((await fetch(`${url}/intake/held/99`)).status, 404);
  });

  it("reads all that a filter leaves again", async () => {
    await post(
      "/intake",
      form({
        "a.csv":
          "instrument,checked_at,speed_rpm,full_scale_range_mpas,reading_mpas,fluid_lot\nU-1,2026-03-01,60,200,95.6,L-9\n",
      }),
    );
    await post("/intake", form({ "lots.csv": "fluid_lot,certified_mpas\nL-9,95\n" }));
    const response = await post(
      "/intake/held",
      new URLSearchParams({ reason: "unknown-value", by: "Ida", why: "certificate came" }),
    );
    assert.equal(response.status, 303);
    assert.equal((await store.readings()).count, 1);
  });

  it("hands its rows out as CSV in which nothing is a formula", async () => {
    await post("/intake", form({ "a.csv": HEADER + BAD.replace("U-1", "=1+1") }));
    const csv = await (await fetch(`${url}/intake?format=csv`)).text();
    assert.match(csv, /'=1\+1/);
    assert.doesNotMatch(csv, /(^|,|")=1/m);
  });

  it("shows what rows hold as text, whatever it is", async () => {
    const hostile = '"><script>alert(1)</script>';
    await post("/intake", form({ "a.csv": `${HEADER}${BAD.replace("Quay", hostile.replaceAll('"', "'"))}` }));
    const { id } = (await store.held.list({}))[0]!;
    for (const path of ["/intake", `/intake/held/${id}`]) {
      const text = await (await app.get(path)).text();
      assert.doesNotMatch(text, /<script>alert/);
      assert.match(text, /&lt;script/);
    }
  });
});
