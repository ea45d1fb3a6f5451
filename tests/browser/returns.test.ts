import assert from "node:assert/strict";
import { AxeBuilder } from "@axe-core/playwright";
import type { Browser } from "playwright-core";
import { afterAll, beforeAll, describe, it } from "vitest";
import { fixtureAssessment } from "../dashboard/support/fixture-fleet.ts";
import { type RunningApp, runApp } from "../dashboard/support/running-app.ts";
import { openBrowser } from "../support/chromium.ts";
import { openPage } from "./watched-page.ts";

let browser: Browser;
let app: RunningApp;
beforeAll(async () => {
  [browser, app] = await Promise.all([openBrowser(), runApp(fixtureAssessment(25))]);
});
afterAll(async () => {
  await browser.close();
  await app.stop();
});

describe("a service planner", () => {
  it("changes the room, moves a unit by keyboard, reads what it costs, and takes it back", async () => {
    const { page, complaints, close } = await openPage(browser, { viewport: { width: 1280, height: 900 } });
    await page.goto(`${app.url}/returns`, { waitUntil: "networkidle" });
    await page.fill("#capacity", "2");
    await page.keyboard.press("Enter");
    await page.waitForURL(/capacity=2/);

    const move = page.locator(".returns .move a").nth(2);
    const unit = (await move.getAttribute("aria-label"))!.replace("Move ", "");
    await move.focus();
    await page.keyboard.press("Enter");
    await page.waitForURL(/unit=/);
    await page.locator(".move-form input[checked]").focus();
    await page.keyboard.press("ArrowDown");
    const chosen = await page.locator(".move-form input:checked").getAttribute("value");
    await page.keyboard.press("Enter");
    await page.waitForURL((url) => url.searchParams.getAll("fix").includes(chosen!));
    const moved = await page.locator("[aria-labelledby=by-hand-head]").textContent();
    assert.ok(moved!.includes(unit), moved!);
    assert.match(moved!, /days out of tolerance expected/);

    await page.click("text=Leave it to the plan");
    await page.waitForURL((url) => !url.searchParams.has("fix"));
    assert.equal(await page.locator("[aria-labelledby=by-hand-head]").count(), 0);
    assert.deepEqual(complaints, []);
    await close();
  });

  it("holds another plan beside it", async () => {
    const { page, complaints, close } = await openPage(browser, { viewport: { width: 1280, height: 900 } });
    await page.goto(`${app.url}/returns?capacity=2`, { waitUntil: "networkidle" });
    await page.fill("#beside-capacity", "4");
    await page.fill("#beside-spare", "1");
    await page.fill("#beside-target", "98");
    await page.click("text=Hold beside it");
    await page.waitForURL(/beside-target=98/);
    const rows = await page.locator(".what-if tbody tr").allTextContents();
    assert.equal(rows.length, 3);
    assert.match(rows[2]!, /4 a week, 1 of a site away, target 98/);
    assert.deepEqual(complaints, []);
    await close();
  });

  it("finds nothing in the way for those who listen, or read on a small screen", async () => {
    for (const width of [1280, 360]) {
      const { page, close } = await openPage(browser, { viewport: { width, height: 900 } });
      await page.goto(`${app.url}/returns?capacity=2&unit=V-0007`, { waitUntil: "networkidle" });
      const { violations } = await new AxeBuilder({ page }).analyze();
      assert.deepEqual(
        violations.map(({ id, nodes }) => `${id}: ${nodes[0]?.html}`),
        [],
      );
      const overflow = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
      assert.ok(overflow <= 0, `${overflow} px beyond the screen at ${width}`);
      await close();
    }
  });
});
