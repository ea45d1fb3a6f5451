import assert from "node:assert/strict";
import { afterAll, beforeAll, describe, it } from "vitest";
import { type RunningDoor, runDoor } from "../accounts/running-door.ts";
import type { Visitor } from "../accounts/visitor.ts";
import { fixtureAssessment } from "../support/fixture-fleet.ts";
import { type RunningApp, runApp } from "../support/running-app.ts";

/** Would run as markup, in an attribute, and as a formula in a spreadsheet. */
const HOSTILE = `=1+1"'><script>alert(1)</script><img src=x onerror=alert(1)>`;
const UNIT = "V-0010";

let app: RunningApp;
let door: RunningDoor;
let root: Visitor;
beforeAll(async () => {
  app = await runApp(fixtureAssessment(20));
  door = await runDoor({}, fixtureAssessment(20));
  await door.add(HOSTILE, { role: "administrator", email: null });
  root = await door.signedIn(HOSTILE);
});
afterAll(async () => {
  await app.stop();
  await door.stop();
});

async function post(path: string, fields: Readonly<Record<string, string>>): Promise<Response> {
  const headers = { "sec-fetch-site": "same-origin" };
  return fetch(app.url + path, {
    method: "POST",
    headers,
    body: new URLSearchParams(fields),
    redirect: "manual",
  });
}

/** No tag of ours begins where the text has one. */
function isHarmless(html: string, where: string): void {
  assert.doesNotMatch(html, /<script>alert|<img src=x/i, where);
  assert.doesNotMatch(html, /=1\+1"'>/, where);
}

function isShownAsText(html: string, where: string): void {
  isHarmless(html, where);
  assert.match(html, /&lt;script(>|&gt;)alert/, where);
}

async function page(path: string): Promise<string> {
  const response = await app.get(path);
  assert.ok(response.status < 500, `${path}: ${response.status}`);
  return response.text();
}

describe("text that would run as markup is shown as text", () => {
  it("in rows of files: units, sites, operators, lots, geometries, checks, and names of files", async () => {
    const quoted = `"${HOSTILE.replaceAll('"', '""')}"`;
    const units = `instrument,usage,site,model_class\n${UNIT},daily,Ashmere,${quoted}\n${quoted},daily,${quoted},${quoted}\n`;
    const columns =
      "instrument,checked_at,speed_rpm,full_scale_range_mpas,reading_mpas,fluid_value_mpas,site,operator,fluid_lot,geometry,check_id";
    const row = (value: string) =>
      `${quoted},2026-03-30T08:00:00Z,60,200,${value},95,${[1, 2, 3, 4, 5].map(() => quoted).join(",")}`;
    const held = `${columns}\n${row("x")}\n${row(quoted)}\n`;
    for (const [name, csv] of [
      ["units &lt;b&gt; '.csv", units],
      ["held &lt;b&gt; '.csv", held],
    ]) {
      const form = new FormData();
      form.set("file", new File([csv!], name!));
      const headers = { "sec-fetch-site": "same-origin" };
      const response = await fetch(`${app.url}/intake`, { method: "POST", headers, body: form });
      assert.equal(response.status, 200);
      const html = await response.text();
      isHarmless(html, name!);
      assert.doesNotMatch(html, / <b> /, "a name of a file is not read as markup");
    }
    isShownAsText(await page("/intake"), "/intake");
    const rows = await app.store.held.list({});
    assert.equal(rows.length, 2);
    for (const { id } of rows) isShownAsText(await page(`/intake/held/${id}`), "a held row");
    const csv = await page("/intake?format=csv");
    assert.doesNotMatch(csv, /(^|,)"?=1/m);
  });

  it("in what people write: settling rows, notes, settings, findings", async () => {
    const words = { why: HOSTILE, by: HOSTILE };
    const [row] = await app.store.held.list({ state: "held" });
    assert.equal((await post(`/intake/held/${row!.id}`, { action: "dismiss", ...words })).status, 303);
    isShownAsText(await page(`/intake/held/${row!.id}`), "a settled row");

    const kept = await post(`/units/${UNIT}/notes`, { kind: "remark", on: "2026-03-30", ...words });
    const { id } = (await app.store.judgements())[0]!;
    assert.equal(kept.status, 303);
    isShownAsText(await page(`/units/${UNIT}/notes/${id}`), "a note");
    const refused = await post(`/units/${UNIT}/notes`, { kind: "remark", on: HOSTILE, ...words });
    isShownAsText(await refused.text(), "a note that was refused");

    const rule = { changes: "0", reliability_target: "93", ...words };
    assert.equal((await post("/settings", rule)).status, 303);
    isShownAsText(await page("/settings"), "settings");
    assert.doesNotMatch(await page("/settings?format=csv"), /(^|,)"?=1/m);

    const decided = await post(`/findings/${UNIT}/2026-03-27`, { decision: "", ...words });
    assert.equal(decided.status, 303);
    isShownAsText(await page(`/findings/${UNIT}/2026-03-27`), "a finding");
    await page("/findings");
  });

  it("in addresses", async () => {
    const q = encodeURIComponent(HOSTILE);
    for (const path of [
      `/find?q=${q}`,
      `/units?site=${q}&state=${q}&sort=${q}&q=${q}`,
      `/units/${q}`,
      `/units/${q}/checks?page=${q}`,
      `/units/${UNIT}/watch/${q}`,
      `/units/${UNIT}/notes?kind=${q}&on=${q}&why=${q}`,
      `/side-by-side?line=${q}&unit=${q}`,
      `/worth-a-look?site=${q}`,
      `/fluids/${q}?page=${q}`,
      `/returns?unit=${q}&fix=${q}&week=${q}&capacity=${q}&closed=${q}&against=${q}`,
      `/returns?unit=${q}`,
      `/returns?fix=${q}@2026-W20`,
      `/returns/packing?week=${q}`,
      `/findings/${q}/${q}`,
      `/intervals?group=${q}&site=${q}&sort=${q}`,
      `/intake?site=${q}&file=${q}&reason=${q}&state=${q}&instrument=${q}`,
      `/intake/held/${q}`,
      `/settings?reliability_target=${q}`,
      `/units?format=${q}`,
      `/${q}`,
    ]) {
      isHarmless(await page(path), path);
    }
    isShownAsText(await page(`/find?q=${q}`), "what was sought");
    for (const path of [`/trail?who=${q}&action=${q}&about=${q}`, `/sign-in?next=${q}`, `/people/${q}`]) {
      isHarmless((await root.get(path)).body, path);
    }
  });

  it("in names of people and of tokens", async () => {
    isShownAsText((await root.get("/")).body, "who is signed in");
    isShownAsText((await root.get("/people")).body, "/people");
    const answer = await root.post("/tokens", {
      label: HOSTILE,
      role: "reader",
      all: "on",
      ends: "2026-06-30",
    });
    isShownAsText(answer.body, "a new token");
    isShownAsText((await root.get("/tokens")).body, "/tokens");
    isShownAsText((await root.get("/trail")).body, "/trail");
    assert.doesNotMatch((await root.get("/trail?format=csv")).body, /(^|,)"?=1/m);
    const refused = await door
      .visitor()
      .post("/sign-in", { name: HOSTILE, password: "wrong", next: HOSTILE });
    isShownAsText(refused.body, "a name that was refused");
  });

  it("and where figures are told, they are told as JSON and nothing else", async () => {
    for (const path of [
      "/intake?format=json",
      "/api/held",
      "/settings?format=json",
      `/find?q=${encodeURIComponent(HOSTILE)}&format=json`,
    ]) {
      const { headers } = await app.get(path);
      assert.match(headers.get("content-type")!, /^application\/json/, path);
      assert.equal(headers.get("x-content-type-options"), "nosniff");
    }
    assert.deepEqual([...app.reported, ...door.reported], []);
  });
});
