import assert from "node:assert/strict";
import { afterAll, beforeAll, describe, it } from "vitest";
import { fixtureAssessment } from "../support/fixture-fleet.ts";
import { type RunningApp, runApp } from "../support/running-app.ts";

let app: RunningApp;
beforeAll(async () => {
  app = await runApp(fixtureAssessment(5));
  const form = new FormData();
  form.append("file", new Blob(["instrument,site,usage\nV-1,Weir End,daily\n"]), "instruments.csv");
  assert.equal((await fetch(`${app.url}/intake`, { method: "POST", body: form })).status, 200);
});
afterAll(() => app.stop());

const CHOICE = { all: "yes", "at-once": "yes", weekday: "1", hour: "7", "time-zone": "Europe/Berlin" };
const BY_MAIL = { ...CHOICE, way: "email", name: "Ada <b>", address: "ada@lab.example" };

function post(path: string, fields: Record<string, string> = {}) {
  return fetch(app.url + path, { method: "POST", body: new URLSearchParams(fields), redirect: "manual" });
}

describe("the page of notices", () => {
  it("takes a choice, shows it, lets it be changed and stopped", async () => {
    assert.match(await (await app.get("/notices")).text(), /Nobody is told of anything/);
    assert.equal((await post("/notices", BY_MAIL)).status, 303);
    const [{ id, secret, sites } = { id: 0, secret: "", sites: [""] }] =
      await app.store.notices.subscriptions();
    assert.deepEqual([secret, sites], [null, null]);
    const html = await (await app.get("/notices")).text();
    assert.match(html, /Ada &lt;b>: E-mail to ada@lab\.example, all sites: at once/);
    assert.equal((await app.get(`/notices/${id}`)).status, 200);
    const { all: _, ...some } = CHOICE;
    const change = { ...some, site: "Weir End", digest: "yes" };
    assert.equal((await post(`/notices/${id}`, change)).status, 303);
    assert.match(
      await (await app.get("/notices")).text(),
      /Weir End: at once, and each Monday at 7:00 \(Europe\/Berlin\)/,
    );
    assert.equal((await post(`/notices/${id}/trial`)).status, 303);
    assert.match(await (await app.get("/notices")).text(), /notices arrive here: waits since 1 Apr 2026/);
    assert.equal((await post(`/notices/${id}/end`)).status, 303);
    assert.deepEqual(await app.store.notices.subscriptions(), []);
    assert.equal((await app.get(`/notices/${id}`)).status, 404);
  });

  it("shows a webhook's secret once and never again", async () => {
    const sent = await post("/notices", { ...BY_MAIL, way: "webhook", address: "https://lab.example/hook" });
    const [{ secret } = { secret: "" }] = await app.store.notices.subscriptions();
    assert.equal(Buffer.from(secret!, "base64").length, 32);
    assert.ok((await sent.text()).includes(`<code>${secret}</code>`));
    assert.ok(!(await (await app.get("/notices")).text()).includes(secret!));
  });

  it("says what stands against a choice, and keeps what was typed", async () => {
    const before = (await app.store.notices.subscriptions()).length;
    for (const [change, words] of [
      [{ way: "pigeon" }, /Choose e-mail or webhook/],
      [{ name: "" }, /Say who is told/],
      [{ address: "ada@lab.example, eve@lab.example" }, /no e-mail address/],
      [{ address: "ada@lab.example\r\nBcc: eve@lab.example" }, /no e-mail address/],
      [{ way: "webhook", address: "file:///etc/passwd" }, /no web address/],
      [{ all: "", site: "Elsewhere" }, /sites that you see/],
      [{ "at-once": "" }, /at once, weekly, or both/],
      [{ digest: "yes", hour: "24" }, /an hour from 0 to 23/],
      [{ "time-zone": "Moon/Base" }, /time zone/],
    ] as const) {
      const fields: Record<string, string> = { ...BY_MAIL, ...change };
      if (fields.all === "") delete fields.all;
      const sent = await post("/notices", fields);
      assert.equal(sent.status, 422, JSON.stringify(change));
      assert.match(await sent.text(), words);
    }
    assert.equal((await app.store.notices.subscriptions()).length, before);
  });

  it("lets what failed be tried again", async () => {
    await post("/notices", BY_MAIL);
    const one = (await app.store.notices.subscriptions()).find(({ way }) => way === "email")!;
    await post(`/notices/${one.id}/trial`);
    const nowMs = Date.parse("2026-04-01T12:00:00Z");
    const claim = { by: "A", ways: ["email"], nowMs, untilMs: nowMs + 1, furthestMs: nowMs + 1e9 } as const;
    const { id } = (await app.store.notices.claim(claim))!;
    await app.store.notices.settle(id, "A", { state: "failed", atMs: nowMs, trouble: "no answer (X)" });
    assert.match(await (await app.get("/notices")).text(), /Not sent[\s\S]*no answer \(X\)[\s\S]*Try again/);
    assert.equal((await post(`/notices/unsent/${id}/again`)).status, 303);
    assert.equal((await app.store.notices.deliveries({ state: "failed", limit: 9 })).length, 0);
  });
});
