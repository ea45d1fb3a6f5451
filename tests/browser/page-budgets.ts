#!/usr/bin/env node
import { parseArgs } from "node:util";
import type { Page } from "playwright-core";
import { openBrowser } from "../support/chromium.ts";

// node tests/browser/page-budgets.ts URL [--runs N]: what every page of a served store takes, against its budget.

/** Milliseconds and compressed bytes; medians over the runs. */
const BUDGET = { firstByteMs: 200, wholeMs: 1000, bytes: 300_000, shift: 0, inPlaceMs: 100 };

const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: { runs: { type: "string", default: "7" } },
});
const [given] = positionals;
const runs = Number(values.runs);
if (given === undefined || !Number.isInteger(runs) || runs < 1) {
  console.error("usage: page-budgets.ts URL [--runs N]");
  process.exit(2);
}
const url = given.replace(/\/$/, "");

interface Load {
  readonly firstByteMs: number;
  readonly wholeMs: number;
  readonly bytes: number;
  readonly shift: number;
}

/** The pages that the navigation leads to, a unit and a lot, and what links from those lead to. */
async function pagesToMeasure(page: Page): Promise<string[]> {
  const linksOf = async (path: string, selector: string): Promise<string[]> => {
    await page.goto(url + path);
    return page
      .locator(selector)
      .evaluateAll((links) =>
        links.map((link) => (link as HTMLAnchorElement).href.replace(location.origin, "")),
      );
  };
  const places = await linksOf("/", ".top nav a");
  const [unit] = await linksOf("/units", ".who a");
  const lots = await linksOf("/fluids", "table a[href^='/fluids/']");
  const more = places.includes("/units") ? ["/units?sort=unit", "/units?state=steady&sort=due"] : [];
  return [...places, ...more, unit, `${unit}/checks`, lots[0]].filter((path) => path !== undefined);
}

/** Loads a page as a first visit: nothing is kept by the browser from another. */
async function load(path: string): Promise<Load> {
  const context = await browser.newContext({ viewport: { width: 1440, height: 900 } });
  const page = await context.newPage();
  const session = await context.newCDPSession(page);
  await session.send("Network.enable");
  let bytes = 0;
  session.on("Network.loadingFinished", ({ encodedDataLength }) => {
    bytes += encodedDataLength;
  });
  await page.goto(url + path, { waitUntil: "load", timeout: 120_000 });
  const [firstByteMs, wholeMs, shift] = await page.evaluate(async () => {
    const [entry] = performance.getEntriesByType("navigation") as PerformanceNavigationTiming[];
    const shifts = await new Promise<number>((resolve) => {
      let sum = 0;
      new PerformanceObserver((list) => {
        for (const one of list.getEntries() as unknown as { value: number }[]) sum += one.value;
      }).observe({ type: "layout-shift", buffered: true });
      setTimeout(() => resolve(sum), 200);
    });
    return [entry!.responseStart - entry!.requestStart, entry!.loadEventEnd, shifts];
  });
  await context.close();
  return { firstByteMs, wholeMs, bytes, shift };
}

/** From a click in the table of units to its new rows on the screen. */
async function sortAndFilter(page: Page): Promise<Map<string, number>> {
  const taken = new Map<string, number>();
  await page.goto(`${url}/units`, { waitUntil: "networkidle" });
  const steps = [
    ["sort by service date", "thead a:text('Service due')"],
    ["turn it round", "thead a:text('Service due')"],
    ["sort by name", "thead a:text('Unit')"],
    ["only those that are leaning", ".tally a:has-text('leaning')"],
    ["all again", ".tally a:has-text('in all')"],
    ["by likelihood again", "thead a:text('Leaves tolerance')"],
  ] as const;
  for (const [name, selector] of steps) {
    const times: number[] = [];
    for (let run = 0; run < runs; run++) {
      await page.waitForTimeout(50);
      times.push(
        await page.locator(selector).evaluate(
          (link) =>
            new Promise<number>((resolve) => {
              const from = performance.now();
              document.addEventListener(
                "springtide:shown",
                () => requestAnimationFrame(() => setTimeout(() => resolve(performance.now() - from))),
                { once: true },
              );
              (link as HTMLElement).click();
            }),
        ),
      );
    }
    taken.set(name, median(times));
  }
  return taken;
}

function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.floor(sorted.length / 2)]!;
}

function cell(value: number, most: number, digits = 0): string {
  return `${value.toFixed(digits)}${value > most ? " !" : "  "}`.padStart(12);
}

const browser = await openBrowser();
let over = 0;
try {
  const page = await (await browser.newContext()).newPage();
  const paths = await pagesToMeasure(page);
  console.log(`${"page".padEnd(34)}  first byte ms    whole ms        kB       shift`);
  for (const path of paths) {
    const loads: Load[] = [];
    for (let run = 0; run < runs; run++) loads.push(await load(path));
    const of = (key: keyof Load): number => median(loads.map((one) => one[key]));
    const [first, whole, bytes, shift] = [of("firstByteMs"), of("wholeMs"), of("bytes"), of("shift")];
    over += [first > BUDGET.firstByteMs, whole > BUDGET.wholeMs, bytes > BUDGET.bytes, shift > 0].filter(
      Boolean,
    ).length;
    console.log(
      path.slice(0, 34).padEnd(34) +
        cell(first, BUDGET.firstByteMs) +
        cell(whole, BUDGET.wholeMs) +
        cell(bytes / 1000, BUDGET.bytes / 1000) +
        cell(shift, BUDGET.shift, 4),
    );
  }
  console.log("\nin the table of units, to the new rows on the screen, ms");
  for (const [name, ms] of await sortAndFilter(page)) {
    over += ms > BUDGET.inPlaceMs ? 1 : 0;
    console.log(name.padEnd(34) + cell(ms, BUDGET.inPlaceMs));
  }
  console.log(over === 0 ? "\nall within budget" : `\n${over} over budget (!)`);
} finally {
  await browser.close();
}
process.exitCode = over === 0 ? 0 : 1;
