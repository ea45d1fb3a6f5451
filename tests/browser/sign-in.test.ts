import assert from "node:assert/strict";
import { AxeBuilder } from "@axe-core/playwright";
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, it } from "vitest";
import { CLIENT, type Provider, runProvider } from "../dashboard/accounts/company-provider.ts";
import { PASSWORD, type RunningDoor, runDoor } from "../dashboard/accounts/running-door.ts";
import { openBrowser } from "../support/chromium.ts";
import { openPage } from "./watched-page.ts";

let browser: Browser;
let provider: Provider;
let door: RunningDoor;
beforeAll(async () => {
  [browser, provider] = await Promise.all([openBrowser(), runProvider()]);
  door = await runDoor({
    company: { issuer: provider.issuer, clientId: CLIENT.id, clientSecret: CLIENT.secret },
  });
  await door.add("Admina", { role: "administrator" });
});
afterAll(async () => {
  await browser.close();
  await door.stop();
  await provider.stop();
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

const secretOf = async (page: Page) => (await page.textContent(".secret code"))!;

describe("signing in and looking after people", () => {
  it.each([
    { colorScheme: "light", width: 1440, javaScriptEnabled: true },
    { colorScheme: "dark", width: 360, javaScriptEnabled: false },
  ] as const)(
    "works on a $colorScheme screen $width px wide, scripts: $javaScriptEnabled",
    async (screen) => {
      const { colorScheme, width, javaScriptEnabled } = screen;
      const name = `Newa ${width}`;
      const watched = await openPage(browser, {
        colorScheme,
        javaScriptEnabled,
        viewport: { width, height: 900 },
      });
      const { page, complaints, close } = watched;
      const check = javaScriptEnabled ? () => assertSound(page) : async () => undefined;
      const at = () => new URL(page.url()).pathname;

      await page.goto(`${door.url}/people`);
      assert.equal(at(), "/sign-in", "whoever is not signed in is asked to");
      await check();
      await page.getByLabel("Name").fill("Admina");
      await page.getByLabel("Password", { exact: true }).fill(PASSWORD);
      await page.getByRole("button", { name: "Sign in" }).click();
      assert.equal(at(), "/people", "signing in leads to the page that was asked for");
      assert.ok(await page.getByText("Admina, administrator").isVisible());
      await check();

      await page.getByLabel("Name", { exact: true }).fill(name);
      await page.getByLabel("checker").check();
      await page.getByLabel("North").check();
      await page.getByRole("button", { name: "Add" }).click();
      await check();
      const oneTime = await secretOf(page);
      await page.getByRole("link", { name: `Go to ${name}` }).click();
      assert.equal(await page.textContent("h1"), `${name}: checker, North`);
      await check();
      await page.getByRole("button", { name: "Sign out" }).click();
      assert.equal(at(), "/sign-in");

      await page.getByLabel("Name").fill(name);
      await page.getByLabel("Password", { exact: true }).fill(oneTime);
      await page.getByRole("button", { name: "Sign in" }).click();
      assert.equal(at(), "/sign-in/password");
      await check();
      await page.getByLabel("Name").fill(name);
      await page.getByLabel("Present or one-time password").fill(oneTime);
      await page.getByLabel("New password", { exact: true }).fill("granite tide piano");
      await page.getByLabel("New password once more").fill("granite tide piano");
      await page.getByRole("button", { name: "Take it and sign in" }).click();
      assert.equal(at(), "/");
      assert.ok(await page.getByText(`${name}, checker`).isVisible());
      assert.equal(await page.getByRole("link", { name: "People" }).count(), 0);

      await page.getByRole("link", { name: "Tokens" }).click();
      await page.getByLabel("What it is for").fill("night upload");
      await page.getByLabel("as a checker").check();
      await page.getByRole("button", { name: "Make it" }).click();
      assert.match(await secretOf(page), /^[\w-]{43}$/);
      await check();
      await page.getByRole("link", { name: "Your tokens" }).click();
      await check();
      await page.getByRole("button", { name: "Revoke the token for night upload" }).click();
      assert.ok(await page.getByText("revoked 1 Apr 2026").isVisible());
      assert.deepEqual(complaints, []);
      await close();
    },
  );

  it("goes to the company and comes back signed in", async () => {
    await door.add("Company", { email: "c@company.example" });
    provider.says = { subject: "c-1", email: "c@company.example", verified: true };
    const { page, complaints, close } = await openPage(browser, {});
    await page.goto(`${door.url}/sign-in?next=/tokens`);
    await assertSound(page);
    await page.getByRole("link", { name: "Sign in by the company" }).click();
    assert.equal(page.url(), `${door.url}/tokens`);
    assert.ok(await page.getByText("Company, reader").isVisible());
    assert.deepEqual(complaints, []);
    await close();
  });
});
