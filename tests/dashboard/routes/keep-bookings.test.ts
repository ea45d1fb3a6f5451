import assert from "node:assert/strict";
import { afterAll, beforeAll, describe, it } from "vitest";
import { fixtureAssessment } from "../support/fixture-fleet.ts";
import { type RunningApp, runApp } from "../support/running-app.ts";

let app: RunningApp;
beforeAll(async () => {
  app = await runApp(fixtureAssessment(30));
  const file = new Blob(["instrument,site,usage\nV-0029,Weir End,daily\n"]);
  const form = new FormData();
  form.append("file", file, "instruments.csv");
  assert.equal((await fetch(`${app.url}/intake`, { method: "POST", body: form })).status, 200);
});
afterAll(() => app.stop());

function post(fields: Record<string, string>) {
  const body = new URLSearchParams(fields);
  return fetch(`${app.url}/returns/keep`, { method: "POST", body, redirect: "manual" });
}

describe("keeping bookings", () => {
  it("keeps a unit's week with who, when and why, and releases it by another row", async () => {
    const asked = await app.get("/returns/keep?fix=V-0029@2026-W20");
    assert.match(await asked.text(), /Keep week 20 for V-0029/);
    const sent = await post({ fix: "V-0029@2026-W20", why: "courier <b>", by: "Ada" });
    assert.equal(sent.status, 303);
    assert.equal((await post({ release: "V-0029", why: "none", by: "Ben" })).status, 303);
    assert.deepEqual(app.reported, []);
    const rows = await app.store.bookings.list();
    assert.deepEqual(
      rows.map(({ instrument, week, by, why }) => [instrument, week, by, why]),
      [
        ["V-0029", "2026-W20", "Ada", "courier <b>"],
        ["V-0029", null, "Ben", "none"],
      ],
    );
  });

  it("offers the whole plan of one week", async () => {
    const { weeks } = (await (await app.get("/returns?format=json")).json()) as {
      weeks: { week: string; units: string[] }[];
    };
    const busiest = weeks.reduce((a, b) => (b.units.length > a.units.length ? b : a));
    const html = await (await app.get(`/returns/keep?week=${busiest.week}`)).text();
    for (const unit of busiest.units) {
      assert.match(html, new RegExp(`name="fix" value="${unit}@${busiest.week}"`));
    }
  });

  it("says what is missing or cannot be", async () => {
    const before = (await app.store.bookings.list()).length;
    const missing = await post({ fix: "V-0029@2026-W20", why: "", by: "Ada" });
    assert.equal(missing.status, 422);
    assert.match(await missing.text(), /id="why-amiss"/);
    const fields = { why: "so", by: "Ada" };
    assert.equal((await post(fields)).status, 400);
    assert.equal((await post({ ...fields, fix: "V-0029@2026-W02" })).status, 400);
    assert.equal((await post({ ...fields, fix: "nobody@2026-W20" })).status, 404);
    assert.equal((await app.store.bookings.list()).length, before);
  });
});
