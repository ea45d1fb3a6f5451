import assert from "node:assert/strict";
import { afterAll, beforeAll, describe, it } from "vitest";
import { fixtureAssessment } from "../support/fixture-fleet.ts";
import { type RunningApp, runApp } from "../support/running-app.ts";

let app: RunningApp;
beforeAll(async () => {
  app = await runApp(fixtureAssessment(30));
});
afterAll(() => app.stop());

const SOUND = { unit: "V-0029", day: "2026-03-30", action: "adjusted", by: "Ada / Ben" };

function post(change: Record<string, string>) {
  const body = new URLSearchParams({ ...SOUND, ...change });
  return fetch(`${app.url}/returns/record`, { method: "POST", body, redirect: "manual" });
}

describe("recording a return", () => {
  it("takes the service in as a file that says by whom, and twice is once", async () => {
    assert.match(await (await app.get("/returns/record?unit=V-0029")).text(), /value="V-0029"/);
    const sent = await post({});
    assert.deepEqual(app.reported, []);
    assert.deepEqual([sent.status, sent.headers.get("location")], [303, "/units/V-0029"]);
    await post({});
    assert.deepEqual(await app.store.services(), [
      { instrument: "V-0029", servicedAt: "2026-03-30", action: "adjusted" },
    ]);
    assert.deepEqual(
      (await app.store.files()).map(({ file, kind }) => [file, kind]),
      [["return of V-0029 recorded by Ada - Ben.json", "services"]],
    );
  });

  it("says what is not right, and takes nothing in", async () => {
    const before = await app.store.services();
    for (const [change, words] of [
      [{ unit: "nobody" }, /no such unit/],
      [{ day: "2026-02-30" }, /Write the day like/],
      [{ day: "2026-04-02" }, /still to come/],
      [{ action: "lost" }, /Choose what was done/],
      [{ by: "" }, /Say who records it/],
    ] as const) {
      const sent = await post(change);
      assert.equal(sent.status, 422, JSON.stringify(change));
      assert.match(await sent.text(), words);
    }
    assert.deepEqual(await app.store.services(), before);
  });
});
