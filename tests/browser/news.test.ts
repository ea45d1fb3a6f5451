import assert from "node:assert/strict";
import { AxeBuilder } from "@axe-core/playwright";
import type { Browser } from "playwright-core";
import { afterAll, beforeAll, beforeEach, describe, it } from "vitest";
import type { FleetView, Standing } from "../../dashboard/assessment/views.ts";
import { fixtureAssessment } from "../dashboard/support/fixture-fleet.ts";
import { type RunningApp, runApp } from "../dashboard/support/running-app.ts";
import { openBrowser } from "../support/chromium.ts";
import { openPage, type WatchedPage } from "./watched-page.ts";

const fixture = fixtureAssessment(70);
const first = await fixture.current();
let browser: Browser;
let app: RunningApp;
let fleet: FleetView;
let standing: Standing;
beforeAll(async () => {
  const assessment = { ...fixture, current: async () => fleet, standing: async () => standing };
  [browser, app] = await Promise.all([openBrowser(), runApp(assessment)]);
});
beforeEach(async () => {
  fleet = first;
  standing = await fixture.standing();
});
afterAll(async () => {
  await browser.close();
  await app.stop();
});

/** New results, as they come from a look that has just been finished. */
function bring(units: FleetView["assessment"]["units"], readings: number): void {
  const revision = standing.revision + 1;
  fleet = { ...first, revision, readings, assessment: { ...first.assessment, units } };
  standing = {
    ...standing,
    revision,
    shown: { revision, asOf: first.asOf, finishedAtMs: Date.now() },
    looking: null,
  };
}

async function reading(path: string): Promise<WatchedPage> {
  const watched = await openPage(browser, { viewport: { width: 1280, height: 900 } });
  const listening = watched.page.waitForResponse(/\/events$/);
  await watched.page.goto(app.url + path);
  await listening;
  await watched.page.mouse.wheel(0, 400);
  return watched;
}

const { units } = first.assessment;

describe("a page that is open while new results come", () => {
  it("takes figures over where nothing moves, and says so", async () => {
    const { page, complaints, layoutShift, close } = await reading("/");
    const atFirst = await page.textContent(".rests-on");
    standing = { ...standing, revision: 2, looking: "learning" };
    await page.waitForSelector("text=step 2 of 3, learning what units share");
    bring(units, first.readings! + 3);
    await page.waitForSelector("text=have just been brought up to date");
    const now = (await page.textContent(".rests-on"))!;
    assert.notEqual(now, atFirst);
    assert.ok(now.includes((first.readings! + 3).toLocaleString("en-GB")), now);
    assert.match((await page.textContent("#told"))!, /brought up to date/);
    assert.equal(await layoutShift(), 0);
    assert.deepEqual(complaints, []);
    await close();
  });

  it("leaves rows where they are when their order changes, and offers the new ones", async () => {
    const { page, complaints, layoutShift, close } = await reading("/units");
    const names = (): Promise<string[]> => page.locator(".who a").allTextContents();
    const before = await names();
    const scrolled = await page.evaluate(() => scrollY);
    bring([units[1]!, units[0]!, ...units.slice(2)], first.readings!);
    await page.waitForSelector("text=New results have come in.");
    assert.deepEqual(await names(), before);
    const { violations } = await new AxeBuilder({ page }).include("#news").analyze();
    assert.deepEqual(violations, []);
    await page.click("text=Show them");
    await page.waitForFunction((name) => document.querySelector(".who a")?.textContent === name, before[1]);
    assert.equal(await page.evaluate(() => scrollY), scrolled);
    assert.equal(await page.locator("#news").isVisible(), false);
    assert.equal(await layoutShift(), 0);
    assert.deepEqual(complaints, []);
    await close();
  });

  it("says nothing where the page would be the same", async () => {
    const { page, close } = await reading("/fluids");
    const asked = page.waitForResponse((response) => response.url() === `${app.url}/fluids`);
    bring(units, first.readings! + 9);
    await asked;
    await page.waitForTimeout(200);
    assert.equal(await page.locator("#news").isVisible(), false);
    await close();
  });
});

describe("a page that is asked for during the first look", () => {
  it("says how far that is, and comes by itself", async () => {
    let finish: (view: FleetView) => void = () => {};
    const current = new Promise<FleetView>((resolve) => {
      finish = resolve;
    });
    let stage: Standing["looking"] = "reading";
    const slow = await runApp({
      ...fixture,
      current: () => current,
      standing: async () => ({ revision: 1, shown: null, looking: stage, failed: false }),
    });
    const { page, close } = await openPage(browser, {});
    await page.goto(`${slow.url}/units`);
    await page.waitForSelector("text=Step 1 of 3, reading the checks");
    const { violations } = await new AxeBuilder({ page }).analyze();
    assert.deepEqual(
      violations.map(({ id }) => id),
      [],
    );
    stage = "judging";
    await page.waitForSelector("text=Step 3 of 3, judging each unit");
    finish(first);
    await page.waitForSelector("table.fleet");
    await close();
    await slow.stop();
  });
});
