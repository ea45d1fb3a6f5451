import assert from "node:assert/strict";
import { AxeBuilder } from "@axe-core/playwright";
import type { Browser } from "playwright-core";
import { afterAll, beforeAll, describe, it } from "vitest";
import { fixtureAssessment } from "../dashboard/support/fixture-fleet.ts";
import { type RunningApp, runApp } from "../dashboard/support/running-app.ts";
import { openBrowser } from "../support/chromium.ts";
import { openPage } from "./watched-page.ts";

const PAGES = {
  today: "/",
  units: "/units?site=Weir+End",
  unit: "/units/V-0029",
  "unit not judged": "/units/V-0067",
  checks: "/units/V-0029/checks",
  fluids: "/fluids",
  lot: "/fluids/L-25-07",
  record: "/record",
  find: "/find?q=V-00",
  error: "/nowhere",
};
/** Both widths and both schemes; axe takes seconds a page, so not every pair of them. */
const LOOKS = [
  { colorScheme: "light", width: 1440 },
  { colorScheme: "dark", width: 360 },
] as const;
/** The guidelines' levels A and AA up to 2.2, and what axe's authors hold to be good practice. */
const AXE_TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];

let browser: Browser;
let app: RunningApp;
beforeAll(async () => {
  [browser, app] = await Promise.all([openBrowser(), runApp(fixtureAssessment(70))]);
});
afterAll(async () => {
  await browser.close();
  await app.stop();
});

describe.each(Object.entries(PAGES))("the page %s", (name, path) => {
  it.each(LOOKS)("is sound at $width px, $colorScheme", async ({ colorScheme, width }) => {
    const { page, complaints, layoutShift, close } = await openPage(browser, {
      colorScheme,
      viewport: { width, height: 900 },
    });
    await page.goto(app.url + path, { waitUntil: "networkidle" });
    // A drawing is one image to those who listen; what is in it is not looked into.
    const axe = new AxeBuilder({ page }).withTags(AXE_TAGS).exclude(".drawing svg");
    const { violations } = await axe.analyze();
    assert.deepEqual(
      violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html).join(" | ")}`),
      [],
    );
    // The browser itself says of an error page that it could not be loaded.
    assert.deepEqual(name === "error" ? complaints.slice(1) : complaints, []);
    assert.equal(await layoutShift(), 0);
    await close();
  });

  it("needs no sideways scrolling down to 320 px", async () => {
    for (const width of [320, 720, 1024]) {
      const { page, close } = await openPage(browser, { viewport: { width, height: 900 } });
      await page.goto(app.url + path);
      const wide = await page.evaluate(() => document.documentElement.scrollWidth);
      assert.ok(wide <= width, `${wide} px wide at ${width} px`);
      await close();
    }
  });

  it("is whole without scripts", async () => {
    const { page, close } = await openPage(browser, { javaScriptEnabled: false });
    await page.goto(app.url + path);
    assert.equal(await page.locator("h1").count(), 1);
    for (const drawing of await page.locator(".drawing").all()) {
      const box = await drawing.locator("svg:visible").boundingBox();
      assert.ok(box !== null && box.width > 200 && box.height > 60);
    }
    await close();
  });
});

describe("headings", () => {
  it("go down one step at a time on every page", async () => {
    const { page, close } = await openPage(browser, {});
    for (const path of Object.values(PAGES)) {
      await page.goto(app.url + path);
      const levels = await page
        .locator("h1, h2, h3, h4")
        .evaluateAll((all) => all.map((h) => Number(h.tagName[1])));
      assert.equal(levels[0], 1);
      for (const [i, level] of levels.entries())
        assert.ok(i === 0 || level <= levels[i - 1]! + 1, `${path}: ${levels}`);
    }
    await close();
  });
});
