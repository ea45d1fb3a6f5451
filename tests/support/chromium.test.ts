import assert from "node:assert/strict";
import { afterEach, describe, it, vi } from "vitest";
import { findChromium, openBrowser } from "./chromium.ts";

afterEach(() => vi.unstubAllEnvs());

describe("the browser for tests", () => {
  it("starts, and has a font to draw with", async () => {
    const browser = await openBrowser();
    try {
      const page = await (await browser.newContext({ viewport: { width: 200, height: 60 } })).newPage();
      const picture = async (body: string) => {
        await page.goto(`data:text/html,<meta charset=utf8><body>${body}`);
        return page.screenshot();
      };
      const empty = await picture("");
      assert.ok(!(await picture("25 °C")).equals(empty));
      assert.ok((await picture("")).equals(empty));
    } finally {
      await browser.close();
    }
  });

  it("is the one that CHROME_PATH names, or there is one line that says it is not there", async () => {
    vi.stubEnv("CHROME_PATH", process.execPath);
    assert.deepEqual(await findChromium(), { executablePath: process.execPath, env: {} });
    vi.stubEnv("CHROME_PATH", "/nowhere/chromium");
    await assert.rejects(
      findChromium(),
      /^Error: CHROME_PATH names \/nowhere\/chromium, which does not exist\.$/,
    );
  });
});
