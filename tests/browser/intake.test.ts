import assert from "node:assert/strict";
import { AxeBuilder } from "@axe-core/playwright";
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, it } from "vitest";
import { fixtureAssessment } from "../dashboard/support/fixture-fleet.ts";
import { type RunningApp, runApp } from "../dashboard/support/running-app.ts";
import { openBrowser } from "../support/chromium.ts";
import { openPage } from "./watched-page.ts";

const HEADER = "instrument,checked_at,speed_rpm,full_scale_range_mpas,reading_mpas,fluid_value_mpas\n";
const row = (day: number, reading: string) => `U-1,2026-03-0${day}T10:00:00Z,60,200,${reading},95\n`;
const FILES = [
  {
    name: "checks.csv",
    mimeType: "text/csv",
    buffer: Buffer.from(HEADER + row(1, "95.6") + row(2, "x") + row(3, "-1") + row(4, "94.9")),
  },
  { name: "letter.txt", mimeType: "text/plain", buffer: Buffer.from("Dear all,\n") },
];

let browser: Browser;
let app: RunningApp;
beforeAll(async () => {
  browser = await openBrowser();
  app = await runApp(fixtureAssessment(1));
});
afterAll(async () => {
  await browser.close();
  await app.stop();
});

async function assertSound(page: Page): Promise<void> {
  const { violations } = await new AxeBuilder({ page }).analyze();
  assert.deepEqual(
    violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html).join(" | ")}`),
    [],
  );
  const overflow = await page.evaluate(
    () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
  );
  assert.equal(overflow, 0, "the page scrolls sideways");
}

describe("sending files and mending what was held back", () => {
  it.each([
    { colorScheme: "light", width: 1440 },
    { colorScheme: "dark", width: 360 },
  ] as const)("works on a $colorScheme screen $width px wide", async ({ colorScheme, width }) => {
    const watched = await openPage(browser, { colorScheme, viewport: { width, height: 900 } });
    const { page, complaints, close } = watched;
    await page.goto(`${app.url}/intake`);
    assert.ok(await page.getByText("or drop them here").isVisible());
    await page.setInputFiles("#files", FILES);
    await page.getByRole("button", { name: "Take them in" }).click();
    await page.waitForSelector("#report-head");
    assert.match((await page.textContent("#report-head")) ?? "", /2 held back, 1 file could not be read\./);
    assert.equal(await page.evaluate(() => document.activeElement?.id), "report-head");
    assert.ok(await page.getByText(/^checks\.csv, line 3: "x" in reading_mpas/).isVisible());
    await assertSound(page);

    await page.getByRole("link", { name: "not-a-number" }).click();
    const held = await page.getByRole("table").getByRole("link").first().textContent();
    await page.goto(`${app.url}/intake/held/${held}`);
    await assertSound(page);
    // Nothing is decided without a name and a reason.
    await page.getByLabel("reading_mpas").fill("95.2");
    await page.getByRole("button", { name: "Mend and read it again" }).click();
    assert.equal(new URL(page.url()).pathname, `/intake/held/${held}`);
    assert.equal((await app.store.held.find(Number(held)))?.state, "held");
    assert.deepEqual(complaints, []);
    await close();
  });

  it("works without scripts", async () => {
    const watched = await openPage(browser, {
      javaScriptEnabled: false,
      viewport: { width: 800, height: 900 },
    });
    const { page, close } = watched;
    await page.goto(`${app.url}/intake`);
    assert.equal(await page.getByText("or drop them here").isVisible(), false);
    await page.setInputFiles("#files", FILES);
    await page.getByRole("button", { name: "Take them in" }).click();
    assert.match((await page.textContent("#report-head")) ?? "", /2 held back, 1 file could not be read\./);
    const { id } = (await app.store.held.list({ reason: "not-a-number" }))[0]!;
    await page.goto(`${app.url}/intake/held/${id}`);
    await page.getByLabel("reading_mpas").fill("95.2");
    await page.locator("#mend-by").fill("Ida");
    await page.locator("#mend-why").fill("typing error, by the paper record");
    await page.getByRole("button", { name: "Mend and read it again" }).click();
    assert.equal((await app.store.held.find(id))?.state, "accepted");
    await close();
  });
});
