import assert from "node:assert/strict";
import { AxeBuilder } from "@axe-core/playwright";
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, it } from "vitest";
import { fixtureAssessment } from "../dashboard/support/fixture-fleet.ts";
import { runApp } from "../dashboard/support/running-app.ts";
import { openBrowser } from "../support/chromium.ts";
import { crawl } from "./crawl.ts";
import { openPage, type WatchedPage } from "./watched-page.ts";

/** The guidelines' levels A and AA up to 2.2, and what axe's authors hold to be good practice. */
const AXE_TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];
/** What one page may weigh, compressed, with all that it brings along. */
const MOST_BYTES = 300_000;

// Known before the tests are listed, so that each page is a test of its own.
const app = await runApp(fixtureAssessment(70));
const PAGES = new Map([
  ...(await crawl(app)),
  ["/units at one site", "/units?site=Weir+End"],
  ["/units/* not judged", "/units/V-0067"],
  ["/find", "/find?q=V-00"],
  ["an error", "/nowhere"],
]);
/** Forms, and lists to print or to choose from, whose figures are those of the page before them; and what has none. */
const WITHOUT_FIGURES = [
  "/returns/packing",
  "/returns/keep",
  "/returns/record",
  "/units/*/notes",
  "/units/*/notes/*",
  "/notices",
  "/api",
  "/find",
  "an error",
];

let browser: Browser;
beforeAll(async () => {
  browser = await openBrowser();
});
afterAll(async () => {
  await browser.close();
  await app.stop();
});

describe("the way through the pages", () => {
  it("leads from the front page to each of them", () => {
    for (const kind of [
      "/units",
      "/units/*",
      "/units/*/checks",
      "/side-by-side",
      "/units/*/notes",
      "/units/*/watch/high",
      "/worth-a-look",
      "/fluids",
      "/fluids/*",
      "/returns",
      "/findings",
      "/findings/*/*",
      "/intervals",
      "/record",
      "/intake",
    ]) {
      assert.ok(PAGES.has(kind), `no link leads to ${kind}`);
    }
  });
});

describe.each([...PAGES])("the page %s", (name, path) => {
  /** Nothing that axe finds, no complaint of the browser, nothing that moves after it was drawn. */
  async function assertSound({ page, complaints, layoutShift }: WatchedPage): Promise<void> {
    // A drawing is one image to those who listen; what is in it is not looked into.
    const axe = new AxeBuilder({ page }).withTags(AXE_TAGS).exclude(".drawing svg");
    const { violations } = await axe.analyze();
    assert.deepEqual(
      violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html).join(" | ")}`),
      [],
    );
    // The browser itself says of an error page that it could not be loaded.
    assert.deepEqual(name === "an error" ? complaints.slice(1) : complaints, []);
    assert.equal(await layoutShift(), 0);
  }

  it("is sound on a wide, light screen, light to load, and has its figures at the same address", async () => {
    const watched = await openPage(browser, { colorScheme: "light", viewport: { width: 1440, height: 900 } });
    const { page, close } = watched;
    const bytes = await countBytes(page);
    await page.goto(app.url + path, { waitUntil: "networkidle" });
    assert.ok(bytes() > 1000 && bytes() <= MOST_BYTES, `${bytes()} bytes`);
    await assertSound(watched);
    if (!WITHOUT_FIGURES.includes(name)) {
      const figures = await page
        .locator("#figures a")
        .evaluateAll((links) =>
          links.map((link) => (link as HTMLAnchorElement).href.replace(location.origin, "")),
        );
      assert.equal(figures.length, 2);
      const [json, csv] = await Promise.all(figures.map((href) => app.get(href)));
      assert.equal(typeof (await json!.json()), "object");
      assert.match(csv!.headers.get("content-type")!, /^text\/csv/);
      for (const href of figures) assert.equal(href.split("?")[0], path.split("?")[0]);
    }
    await close();
  });

  it("is sound on a narrow, dark screen, and needs no sideways scrolling", async () => {
    const watched = await openPage(browser, { colorScheme: "dark", viewport: { width: 360, height: 900 } });
    const { page, close } = watched;
    await page.goto(app.url + path, { waitUntil: "networkidle" });
    await assertSound(watched);
    // 640 px is what a window of 1280 px has at 200 % zoom.
    for (const width of [320, 360, 640, 1024]) {
      await page.setViewportSize({ width, height: 900 });
      const wide = await page.evaluate(() => document.documentElement.scrollWidth);
      assert.ok(wide <= width, `${wide} px wide at ${width} px`);
    }
    await close();
  });

  it("is whole without scripts, with a table for every chart", async () => {
    const { page, close } = await openPage(browser, { javaScriptEnabled: false });
    await page.goto(app.url + path);
    assert.equal(await page.locator("h1").count(), 1);
    for (const drawing of await page.locator(".drawing").all()) {
      assert.ok((await drawing.locator("svg:visible").count()) > 0);
      const box = await drawing.boundingBox();
      assert.ok(box !== null && box.width > 200 && box.height > 60);
    }
    for (const chart of await page.locator("figure.chart").all()) {
      const tables = chart.locator("xpath=descendant::table | ancestor::main//table[@role='table']");
      assert.ok((await tables.count()) > 0, `no table for ${await chart.getAttribute("class")}`);
    }
    await close();
  });
});

/** How many bytes have come over the line so far, compressed, with their heads. */
async function countBytes(page: Page): Promise<() => number> {
  const session = await page.context().newCDPSession(page);
  await session.send("Network.enable");
  let bytes = 0;
  session.on("Network.loadingFinished", ({ encodedDataLength }) => {
    bytes += encodedDataLength;
  });
  return () => bytes;
}

describe("headings", () => {
  it("go down one step at a time on every page", async () => {
    const { page, close } = await openPage(browser, {});
    for (const path of PAGES.values()) {
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
