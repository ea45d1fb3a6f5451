import assert from "node:assert/strict";
import { afterEach, describe, it } from "vitest";
import type { FleetView, Standing } from "../../../dashboard/assessment/views.ts";
import { fixtureAssessment } from "../support/fixture-fleet.ts";
import { type RunningApp, runApp } from "../support/running-app.ts";

const fixture = fixtureAssessment(10);
const READER = { accept: "text/html,application/xhtml+xml" };
let app: RunningApp;
afterEach(() => app.stop());

describe("the stream of news", () => {
  it("tells how new the pages are, tells a change within seconds, and ends when the server stops", async () => {
    let standing = await fixture.standing();
    app = await runApp({ ...fixture, standing: async () => standing });
    const response = await app.get("/events");
    assert.equal(response.headers.get("content-type"), "text/event-stream");
    assert.equal(response.headers.get("content-encoding"), null);
    const reader = response.body!.pipeThrough(new TextDecoderStream()).getReader();
    const next = async () => (await reader.read()).value ?? null;

    const first = (await next())!;
    assert.match(first, /^event: standing\ndata: \{.*\}\n\n$/);
    const { revision, shown, doing } = JSON.parse(first.split("data: ")[1]!);
    assert.deepEqual([revision, shown.revision, shown.as_of, doing], [1, 1, "2026-03-31", null]);

    standing = { ...standing, revision: 2, looking: "learning" };
    assert.match((await next())!, /"revision":2.*step 2 of 3, learning what units share/);
    standing = { ...standing, looking: null, failed: true };
    assert.match((await next())!, /could not be looked at/);

    await app.stop();
    assert.equal(await next(), null);
    app = await runApp(fixture);
  });

  it("goes on after a look that failed, which is told to the log", async () => {
    let fails = true;
    const standing = (): Promise<Standing> =>
      fails ? Promise.reject(new Error("no store")) : fixture.standing();
    app = await runApp({ ...fixture, standing });
    const response = await app.get("/events");
    await new Promise((resolve) => setTimeout(resolve, 300));
    fails = false;
    const { value } = await response.body!.pipeThrough(new TextDecoderStream()).getReader().read();
    assert.match(value!, /^event: standing/);
    assert.deepEqual(app.reported.map(String), ["Error: no store"]);
  });
});

describe("the first look at a fleet", () => {
  it("is not waited for by a reader, who is told how far it is; a program waits", async () => {
    let finish: (view: FleetView) => void = () => {};
    const current = new Promise<FleetView>((resolve) => {
      finish = resolve;
    });
    const standing = async (): Promise<Standing> => ({
      revision: 1,
      shown: null,
      looking: "judging",
      failed: false,
    });
    app = await runApp({ ...fixture, current: () => current, standing });
    const program = app.get("/units?format=json");
    const page = await app.get("/units", READER);
    assert.equal(page.status, 503);
    assert.equal(page.headers.get("retry-after"), "3");
    assert.match(await page.text(), /Step 3 of 3, judging each unit/);
    finish(await fixture.current());
    assert.equal((await program).status, 200);
    assert.equal((await app.get("/units", READER)).status, 200);
  });
});
