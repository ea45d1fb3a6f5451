#!/usr/bin/env node
import { parseArgs } from "node:util";
import { openBrowser } from "./chromium.ts";

// node tests/support/screenshot.ts URL OUT.png [--width N] [--dark] [--full] [--no-script]
const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: {
    width: { type: "string", default: "1280" },
    dark: { type: "boolean", default: false },
    full: { type: "boolean", default: false },
    "no-script": { type: "boolean", default: false },
  },
});
const [url, file] = positionals;
const width = Number(values.width);
if (url === undefined || file === undefined || !Number.isInteger(width) || width < 1) {
  console.error("usage: screenshot.ts URL OUT.png [--width N] [--dark] [--full] [--no-script]");
  process.exit(2);
}

const browser = await openBrowser();
try {
  const context = await browser.newContext({
    viewport: { width, height: 900 },
    colorScheme: values.dark ? "dark" : "light",
    javaScriptEnabled: !values["no-script"],
  });
  const page = await context.newPage();
  await page.goto(url, { waitUntil: "load" });
  await page.screenshot({ path: file, fullPage: values.full });
} finally {
  await browser.close();
}
