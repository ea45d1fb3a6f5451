import assert from "node:assert/strict";
import type { Browser } from "playwright-core";
import { afterAll, beforeAll, describe, it } from "vitest";
import { fixtureAssessment } from "../dashboard/support/fixture-fleet.ts";
import { type RunningApp, runApp } from "../dashboard/support/running-app.ts";
import { openBrowser } from "../support/chromium.ts";
import { openPage, type WatchedPage } from "./watched-page.ts";

let browser: Browser;
let app: RunningApp;
beforeAll(async () => {
  [browser, app] = await Promise.all([openBrowser(), runApp(fixtureAssessment(70))]);
});
afterAll(async () => {
  await browser.close();
  await app.stop();
});

async function at(path: string, run: (watched: WatchedPage) => Promise<void>): Promise<void> {
  const watched = await openPage(browser, { viewport: { width: 1440, height: 900 } });
  await watched.page.goto(app.url + path, { waitUntil: "networkidle" });
  await run(watched);
  assert.deepEqual(watched.complaints, []);
  await watched.close();
}

describe("a quality manager", () => {
  it("reads the finding first and follows its number to the units", () =>
    at("/", async ({ page }) => {
      const link = page.locator("h1 a").first();
      const n = Number((await link.textContent())!.match(/^\d+/)![0]);
      await link.click();
      assert.match(page.url(), /\/units\?state=(out|heading-out)$/);
      assert.equal(await page.locator("tbody tr").count(), n);
    }));

  it("filters and sorts without a reload, and comes back by the address", () =>
    at("/units?state=steady", async ({ page }) => {
      await page.evaluate(() => Object.assign(window, { notReloaded: true }));
      await page.selectOption("#site", "Tarn House");
      await page.waitForURL(/site=Tarn\+House/);
      await page.click("thead >> text=Service due");
      await page.waitForURL(/sort=due/);
      const address = page.url();
      assert.match(address, /state=steady/);
      const read = (): Promise<string[]> => page.locator(".who a").allTextContents();
      const seen = await read();
      assert.ok(seen.length > 3);
      assert.match((await page.textContent("#told"))!, /steady\. In order: the next service first\.$/);
      assert.equal(await page.locator("#figures a").first().getAttribute("href"), figuresOf(address));

      await page.click("thead >> text=Service due");
      await page.waitForURL(/order=turned/);
      assert.equal(await page.evaluate(() => document.activeElement?.textContent), "Service due ↓");
      assert.equal(await page.locator("th[aria-sort]").getAttribute("aria-sort"), "descending");
      await page.goBack();
      await page.waitForSelector("th[aria-sort=ascending]");
      assert.deepEqual(await read(), seen);
      assert.equal(await page.evaluate(() => "notReloaded" in window), true);

      await page.goto(`${app.url}/`);
      await page.goBack();
      assert.equal(page.url(), address);
      assert.deepEqual(await read(), seen);
    }));

  it("turns the pages of a table by keyboard", () =>
    at("/units", async ({ page }) => {
      await page.locator(".pager a").focus();
      await page.keyboard.press("Enter");
      await page.waitForURL(/page=2/);
      assert.equal(await page.evaluate(() => document.activeElement?.tagName), "TABLE");
      assert.equal(await page.locator(".who a").count(), 20);
    }));

  it("keeps the head of every row in its column", () =>
    at("/units", async ({ page }) => {
      const displays = await page
        .locator("tbody th")
        .evaluateAll((heads) => heads.map((head) => getComputedStyle(head).display));
      assert.deepEqual([...new Set(displays)], ["table-cell"]);
    }));
});

/** Where the figures of a page of this address are to be had. */
function figuresOf(address: string): string {
  const { pathname, search } = new URL(address);
  return `${pathname}${search}&format=json`;
}

describe("an engineer", () => {
  it("asks a chart by pointer, and sees the whole check light up", () =>
    at("/units/V-0029", async ({ page, layoutShift }) => {
      const drawing = page.locator(".chart-lives .drawing");
      await drawing.hover();
      await page.waitForSelector(".chart-lives .drawing.live");
      const dot = await page.locator(".chart-lives .own circle").nth(20).boundingBox();
      await page.mouse.move(dot!.x + 1, dot!.y + 1);
      assert.match(
        (await page.locator(".chart-lives .tip").textContent())!,
        /^\d+ \w+ \d{4}, \w+ torque\n.* of tolerance; as read /,
      );
      assert.ok((await page.locator(".chart-lives .near").count()) >= 3);
      assert.equal(await layoutShift(), 0);
    }));

  it("asks it by keyboard, and opens the table of the same figures with one key", () =>
    at("/units/V-0029", async ({ page }) => {
      await page.locator(".chart-lives .drawing").focus();
      await page.waitForSelector(".chart-lives .drawing.live");
      const tip = page.locator(".chart-lives .tip");
      await page.keyboard.press("End");
      const last = await tip.textContent();
      await page.keyboard.press("ArrowLeft");
      assert.notEqual(await tip.textContent(), last);
      await page.keyboard.press("Escape");
      assert.equal(await tip.isVisible(), false);
      await page.keyboard.press("t");
      assert.equal(await page.locator(".chart-lives details table").isVisible(), true);
    }));

  it("takes the readings as they were read away, and brings them back", () =>
    at("/units/V-0029", async ({ page }) => {
      const rings = page.locator(".chart-lives .asread circle").first();
      assert.equal(await rings.isVisible(), true);
      await page.uncheck("#as-read");
      assert.equal(await rings.isVisible(), false);
      await page.check("#as-read");
      assert.equal(await rings.isVisible(), true);
    }));

  it("goes from the fleet's picture to a unit, without a pointer", () =>
    at("/", async ({ page }) => {
      await page.locator(".chart-fleet .drawing").focus();
      await page.waitForSelector(".chart-fleet .drawing.live");
      await page.keyboard.press("ArrowRight");
      const unit = (await page.locator(".chart-fleet .tip").textContent())!.split(/\s/)[0]!;
      await page.keyboard.press("Enter");
      await page.waitForURL(`**/units/${unit}`);
      assert.ok((await page.locator("h1").textContent())!.startsWith(unit));
    }));

  it("follows a check down to its file and line", () =>
    at("/units/V-0029", async ({ page }) => {
      await page.click("text=/All \\d+ checks/");
      assert.match(
        (await page.locator("th .source").first().textContent())!,
        /^spring-checks\.csv, lines? \d+/,
      );
    }));
});

describe("anyone", () => {
  it("finds a unit with one key and the arrows", () =>
    at("/", async ({ page }) => {
      await page.keyboard.press("/");
      await page.keyboard.type("v-002");
      await page.waitForSelector("[role=option]");
      await page.keyboard.press("ArrowDown");
      await page.keyboard.press("ArrowDown");
      const name = await page
        .locator("[role=option][aria-selected=true]")
        .evaluate((option) => option.firstChild!.textContent);
      await page.keyboard.press("Enter");
      await page.waitForURL(`**/units/${name}`);
    }));

  it("can turn that key off, for good", () =>
    at("/", async ({ page }) => {
      await page.click("#finder-key");
      await page.reload();
      await page.keyboard.press("/");
      assert.equal(await page.evaluate(() => document.activeElement?.id === "finder"), false);
    }));

  it("reaches the content with the first key", () =>
    at("/", async ({ page }) => {
      await page.keyboard.press("Tab");
      assert.equal(await page.locator(".skip").evaluate((link) => link === document.activeElement), true);
      await page.keyboard.press("Enter");
      assert.equal(await page.evaluate(() => document.activeElement?.id), "content");
    }));

  it("prints a unit on white, without what paper cannot do", () =>
    at("/units/V-0029", async ({ page }) => {
      await page.emulateMedia({ media: "print", colorScheme: "dark" });
      assert.equal(
        await page.evaluate(() => getComputedStyle(document.body).backgroundColor),
        "rgb(255, 255, 255)",
      );
      for (const selector of [".finder", "nav", ".switch", "summary"]) {
        assert.equal(await page.locator(selector).first().isVisible(), false, selector);
      }
      assert.equal(await page.locator(".chart-lives .band").first().isVisible(), true);
    }));
});
