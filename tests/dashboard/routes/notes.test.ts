import assert from "node:assert/strict";
import { afterAll, beforeAll, describe, it } from "vitest";
import { fixtureAssessment } from "../support/fixture-fleet.ts";
import { type RunningApp, runApp } from "../support/running-app.ts";

let app: RunningApp;
let check: URLSearchParams;
beforeAll(async () => {
  app = await runApp(fixtureAssessment(30));
  // The store knows the unit that the pages show.
  const file = new Blob(["instrument,site,usage,in_service_since\nV-0029,Weir End,daily,2023-03-31\n"]);
  const form = new FormData();
  form.append("file", file, "instruments.csv");
  assert.equal((await fetch(`${app.url}/intake`, { method: "POST", body: form })).status, 200);
  const html = await (await app.get(UNIT)).text();
  const link = /notes\?(kind=set-aside[^"]*)/.exec(html)![1]!;
  check = new URLSearchParams(link.replaceAll("&amp;", "&"));
});
afterAll(() => app.stop());

const UNIT = "/units/V-0029";

function post(path: string, fields: Record<string, string>, headers: Record<string, string> = {}) {
  return fetch(app.url + path, {
    method: "POST",
    body: new URLSearchParams(fields),
    redirect: "manual",
    headers,
  });
}

describe("notes on a unit", () => {
  it("sets a whole check aside from its row, with who, when and why", async () => {
    assert.equal((await app.get(`${UNIT}/notes?${check}`)).status, 200);
    const sent = await post(`${UNIT}/notes`, {
      ...Object.fromEntries(check),
      why: " fluid spilt ",
      by: "Ada",
    });
    assert.deepEqual(app.reported, []);
    assert.equal(sent.status, 303);
    const [note] = await app.store.judgements();
    assert.equal(note!.kind, "set-aside");
    assert.equal(note!.checkedAtMs, Number(check.get("at")));
    assert.equal(note!.speedRpm, null);
    assert.equal(note!.why, "fluid spilt");
    assert.equal(note!.by, "Ada");
    assert.equal(note!.madeAtMs, Date.parse("2026-04-01T12:00:00Z"));
  });

  it("has the limits fitted anew from a day on, with the caution that belongs to it", async () => {
    assert.match(await (await app.get(UNIT)).text(), /notes\?kind=baseline/);
    assert.match(await (await app.get(`${UNIT}/notes?kind=baseline`)).text(), /a drift no longer seen/);
    const sent = await post(`${UNIT}/notes`, {
      kind: "baseline",
      on: "2026-02-01",
      why: "new bath, settled",
      by: "Ada",
    });
    assert.equal(sent.status, 303);
    const note = (await app.store.judgements()).at(-1)!;
    assert.deepEqual([note.kind, note.onDay, note.why], ["baseline", "2026-02-01", "new bath, settled"]);
  });

  it("says beside the field what is missing, and keeps what was written", async () => {
    const before = (await app.store.judgements()).length;
    const sent = await post(`${UNIT}/notes`, { kind: "remark", on: "2026-03-01", why: "", by: "Ada <b>" });
    assert.equal(sent.status, 422);
    const html = await sent.text();
    assert.match(html, /id="why-amiss">Say why, for whoever reads it later\./);
    assert.match(html, /value="2026-03-01"/);
    assert.match(html, /value="Ada &lt;b>"/);
    assert.equal((await app.store.judgements()).length, before);
  });

  it("takes no day that is none or that lies ahead", async () => {
    for (const on of ["2026-02-30", "yesterday", "2026-12-01", ""]) {
      const sent = await post(`${UNIT}/notes`, { kind: "step-cause", on, why: "moved", by: "Ada" });
      assert.equal(sent.status, 422, on);
      assert.match(await sent.text(), /id="on-amiss"/);
    }
  });

  it("is taken back by another note, once", async () => {
    const kept = await post(`${UNIT}/notes`, { kind: "remark", on: "2026-03-01", why: "moved", by: "Ada" });
    const address = kept.headers.get("location")!;
    assert.match(address, /^\/units\/V-0029\/notes\/\d+$/);
    assert.match(await (await app.get(address)).text(), /Remark on 1 Mar 2026: moved \(Ada, 1 Apr 2026\)/);
    assert.equal((await post(address, { why: "wrong unit", by: "Ben" })).status, 303);
    const undo = (await app.store.judgements()).at(-1)!;
    assert.equal(undo.kind, "undo");
    assert.equal(String(undo.undoes), address.split("/").at(-1));
    assert.match(await (await app.get(address)).text(), /taken back: wrong unit \(Ben, 1 Apr 2026\)/);
    assert.equal((await post(address, { why: "again", by: "Ben" })).status, 409);
  });

  it("refuses what comes from another site's page", async () => {
    const before = (await app.store.judgements()).length;
    const fields = { kind: "remark", on: "2026-03-01", why: "x", by: "Eve" };
    const sent = await post(`${UNIT}/notes`, fields, { origin: "http://elsewhere.example" });
    assert.equal(sent.status, 403);
    assert.equal((await app.store.judgements()).length, before);
  });

  it("names what there is not: a kind, a check, a note, a unit", async () => {
    for (const [path, status] of [
      [`${UNIT}/notes?kind=verdict`, 400],
      [`${UNIT}/notes?kind=set-aside&at=12`, 404],
      [`${UNIT}/notes/999`, 404],
      ["/units/nobody/notes?kind=remark", 404],
    ] as const) {
      assert.equal((await app.get(path)).status, status, path);
    }
  });
});

describe("charts of one quantity", () => {
  it("tell their limits, the days of their signals, and the same figures as CSV", async () => {
    const html = await (await app.get(`${UNIT}/watch/high`)).text();
    for (const title of [
      "Each check",
      "From check to check",
      "Where it stands",
      "Against its forecast",
      "Adding up",
    ]) {
      assert.match(html, new RegExp(`<b>${title}</b>`));
    }
    assert.match(html, /Limits fitted once, from 8 checks up to \d+ \w+ \d{4}/);
    const csv = await (await app.get(`${UNIT}/watch/high?format=csv`)).text();
    assert.match(csv, /^checked_on,value,sd,lower,upper,moving_range,/);
    assert.equal((await app.get(`${UNIT}/watch/nothing`)).status, 404);
  });
});

describe("the weekly review list", () => {
  it("lists by site who stands out and who signalled, and one site alone", async () => {
    const all = (await (await app.get("/worth-a-look?format=json")).json()) as { units: { site: string }[] };
    assert.ok(all.units.length > 1);
    const { site } = all.units[0]!;
    const one = await app.get(`/worth-a-look?${new URLSearchParams({ site, format: "json" })}`);
    const { units } = (await one.json()) as typeof all;
    assert.deepEqual(
      units,
      all.units.filter((unit) => unit.site === site),
    );
  });
});
