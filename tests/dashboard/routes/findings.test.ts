import assert from "node:assert/strict";
import { afterEach, beforeEach, describe, it } from "vitest";
import { fixtureAssessment } from "../support/fixture-fleet.ts";
import { type RunningApp, runApp } from "../support/running-app.ts";

const FINDING = "/findings/V-0010/2026-03-27";

let app: RunningApp;
beforeEach(async () => {
  app = await runApp(fixtureAssessment(1));
  const files = new FormData();
  files.append("files", new Blob(["instrument,site,usage\nV-0010,Ashmere,daily\n"]), "instruments.csv");
  assert.equal((await fetch(`${app.url}/api/intake`, { method: "POST", body: files })).status, 200);
});
afterEach(async () => {
  assert.deepEqual(app.reported, []);
  await app.stop();
});

function send(fields: Record<string, string>, path = FINDING, headers: Record<string, string> = {}) {
  return fetch(app.url + path, {
    method: "POST",
    body: new URLSearchParams(fields),
    headers,
    redirect: "manual",
  });
}
const page = async (path = FINDING) => (await app.get(path)).text();

describe("a finding", () => {
  it("is recorded with its window, decided on, closed by a person, and may be opened again", async () => {
    assert.match(await page(), /Nobody has recorded it yet/);
    const recorded = await send({ by: "Ada", why: "as-found check" });
    assert.equal(recorded.status, 303);
    assert.equal(recorded.headers.get("location"), `${FINDING}#decided`);
    const [kept] = await app.store.findings();
    assert.deepEqual(JSON.parse(kept!.window).left_tolerance, {
      p05: "2026-02-09",
      p50: "2026-02-19",
      p95: "2026-03-01",
    });
    assert.match(await page(), />Open</);

    await send({ by: "Grace", why: "all <retested>", decision: "no-effect" });
    const closed = await page();
    assert.match(closed, />Closed</);
    assert.match(closed, /1 Apr 2026, Grace: no effect on results\. all &lt;retested/);
    assert.match(await page("/findings"), /1 closed/);

    await send({ by: "Ada", why: "new complaint", decision: "look-into" });
    assert.match(await page(), />Open</);
    assert.equal((await app.store.findings()).length, 1);
  });

  it("is recorded and decided on at once where a decision comes with it", async () => {
    await send({ by: "Ada", why: "seen", decision: "retest" });
    const [kept] = await app.store.findings();
    assert.deepEqual(
      kept!.decisions.map(({ decision }) => decision),
      ["retest"],
    );
  });

  it("keeps nothing without a name, a reason, or by a decision that does not exist", async () => {
    for (const fields of [
      { by: "", why: "x" },
      { by: "Ada", why: " " },
      { by: "Ada", why: "x", decision: "forget" },
    ]) {
      assert.equal((await send(fields as Record<string, string>)).status, 400);
    }
    assert.equal((await send({ by: "Ada", why: "x" }, FINDING, { origin: "http://elsewhere" })).status, 403);
    assert.deepEqual(await app.store.findings(), []);
  });

  it("names its results in CSV so that a spreadsheet runs nothing of them", async () => {
    const csv = await page(`${FINDING}?format=csv`);
    assert.match(csv, /'=batch 7/);
    assert.equal(csv.trim().split(/\r?\n/).length, 3);
  });

  it("that does not exist is told of", async () => {
    assert.equal((await app.get("/findings/V-0010/2026-01-01")).status, 404);
    assert.equal((await app.get("/intervals?advice=never")).status, 400);
    assert.equal((await app.get("/intervals?page=0")).status, 400);
  });
});

describe("intervals", () => {
  it("shows those to shorten first, by page, and all of them in the figures", async () => {
    const html = await page("/intervals");
    assert.match(
      html,
      /20 units should be serviced earlier than they are and 19 units could wait longer; of 1 nothing/,
    );
    assert.match(html, /Page 1 of 2/);
    assert.ok(html.indexOf(">V-0059<") < html.indexOf(">V-0003<"));
    const json = (await (await app.get("/intervals?advice=lengthen&format=json")).json()) as {
      units: unknown[];
    };
    assert.equal(json.units.length, 19);
  });
});
