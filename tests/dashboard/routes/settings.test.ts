import assert from "node:assert/strict";
import { afterAll, beforeAll, describe, it } from "vitest";
import { fixtureAssessment } from "../support/fixture-fleet.ts";
import { type RunningApp, runApp } from "../support/running-app.ts";

let app: RunningApp;
beforeAll(async () => {
  app = await runApp(fixtureAssessment(60));
});
afterAll(() => app.stop());

function keep(fields: Record<string, string>, headers: Record<string, string> = {}): Promise<Response> {
  return fetch(`${app.url}/settings`, {
    method: "POST",
    body: new URLSearchParams(fields),
    headers,
    redirect: "manual",
  });
}

const ASKED = "/settings?tolerance.fluid_percent=0.5&alarms.per_month_per_100_units=1";

describe("the page of the settings", () => {
  it("shows what a change would do before it is kept, and keeps nothing by showing it", async () => {
    const before = await app.store.settingsChanges();
    const html = await (await app.get(ASKED)).text();
    assert.match(
      html,
      /would change their state, and 55 of the last year\u2019s 3,120 checks would have been judged otherwise/,
    );
    assert.match(html, /Tolerance, fluid: 1 % of its value \u2192 0\.5 % of its value/);
    assert.doesNotMatch(html, /False alarms, false alarms: 1/);
    assert.deepEqual(await app.store.settingsChanges(), before);
    const json = (await (await app.get(`${ASKED}&format=json`)).json()) as {
      proposal: { differs_in: string[] };
    };
    assert.deepEqual(json.proposal.differs_in, ["tolerance.fluid_percent"]);
  });

  it("answers what cannot be with one line, the form as it was filled in", async () => {
    const response = await app.get("/settings?tolerance.fluid_percent=-1");
    assert.equal(response.status, 400);
    const html = await response.text();
    assert.match(
      html,
      /role="alert">The setting tolerance\.fluid_percent cannot be so: it must be above 0\./,
    );
    assert.match(html, /name="tolerance\.fluid_percent" value="-1"/);
  });

  it("keeps a change with name and reason, once, and says so from then on", async () => {
    const fields = { "tolerance.fluid_percent": "0.5", by: "R. Planner", why: "procedure 7", changes: "0" };
    for (const [refused, status] of [
      [{ ...fields, why: " " }, 400],
      [{ ...fields, changes: "3" }, 409],
      [{ ...fields, from: "last year" }, 400],
      [{ by: "R. Planner", why: "nothing", changes: "0" }, 400],
    ] as const) {
      assert.equal((await keep(refused)).status, status);
    }
    assert.equal((await keep(fields, { origin: "http://elsewhere.example" })).status, 403);
    assert.equal((await app.store.settingsChanges()).length, 0);

    const response = await keep({ ...fields, from: "2026-01-01" });
    assert.equal(response.status, 303);
    assert.equal(response.headers.get("location"), "/settings#history");
    const [change] = await app.store.settingsChanges();
    assert.deepEqual([change!.by, change!.why, change!.fromDay], ["R. Planner", "procedure 7", "2026-01-01"]);
    const html = await (await app.get("/settings")).text();
    assert.match(html, /These rules are in force since 1 Jan 2026, set by R\. Planner\./);
    assert.match(html, /Set 1 Apr 2026 by R\. Planner: procedure 7\./);
    assert.doesNotMatch(html, /name="from"/);

    const again = await keep(fields);
    assert.equal(again.status, 409, "a form filled in before the change");
    const second = await keep({
      ...fields,
      "tolerance.fluid_percent": "1",
      from: "2026-01-01",
      changes: "1",
    });
    assert.equal(second.status, 400, "only the first may be dated back");
  });
});
