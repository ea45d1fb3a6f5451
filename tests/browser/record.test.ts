import assert from "node:assert/strict";
import { AxeBuilder } from "@axe-core/playwright";
import type { Browser } from "playwright-core";
import { afterAll, beforeAll, describe, it } from "vitest";
import type { RecordView } from "../../dashboard/assessment/views.ts";
import { fixtureAssessment } from "../dashboard/support/fixture-fleet.ts";
import { type RunningApp, runApp } from "../dashboard/support/running-app.ts";
import { openBrowser } from "../support/chromium.ts";
import { openPage } from "./watched-page.ts";

const fixture = fixtureAssessment(20);
let browser: Browser;
let app: RunningApp;
let now: RecordView;
beforeAll(async () => {
  now = await fixture.record(true);
  [browser, app] = await Promise.all([openBrowser(), runApp({ ...fixture, record: async () => now })]);
});
afterAll(async () => {
  await browser.close();
  await app.stop();
});

describe("the record while it is worked out", () => {
  it("tells how far it is, and comes by itself where nothing stood before", async () => {
    const done = await fixture.record(true);
    now = { ...done, record: null, isCurrent: false, progress: { done: 1, of: 11 } };
    const { page, complaints, close } = await openPage(browser, {});
    await page.goto(`${app.url}/record`, { waitUntil: "networkidle" });
    const { violations } = await new AxeBuilder({ page }).analyze();
    assert.deepEqual(
      violations.map(({ id }) => id),
      [],
    );
    assert.equal(await page.locator(".told").textContent(), "1 of 11 days replayed");
    now = { ...now, progress: { done: 7, of: 11 } };
    await page.waitForSelector("text=7 of 11 days replayed");
    now = done;
    await page.waitForSelector("text=of 43 units given");
    assert.deepEqual(complaints, []);
    await close();
  });

  it("leaves what is being read where it is, and says that there is more", async () => {
    const done = await fixture.record(true);
    now = { ...done, isCurrent: false, progress: { done: 1, of: 11 } };
    const { page, complaints, layoutShift, close } = await openPage(browser, {});
    await page.goto(`${app.url}/record`, { waitUntil: "networkidle" });
    now = done;
    await page.waitForSelector("text=The new record is there.");
    assert.equal(await page.locator("table.record").count(), 1);
    assert.equal(await layoutShift(), 0);
    await page.click("text=Look again");
    await page.waitForSelector(".under-way", { state: "detached" });
    assert.deepEqual(complaints, []);
    await close();
  });
});
