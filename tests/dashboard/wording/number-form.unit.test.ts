import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { inNumberForm, numberFormOf } from "../../../dashboard/wording/number-form.ts";
import { count, decimal, signed } from "../../../dashboard/wording/numbers.ts";
import { fixtureAssessment } from "../support/fixture-fleet.ts";
import { runApp } from "../support/running-app.ts";

const THIN = "\u202f";

describe("numbers", () => {
  // By the Unicode Common Locale Data Repository, as the runtime has it.
  const forms: [string | undefined, string, string][] = [
    [undefined, "81,861", "−0.06"],
    ["en-US,en;q=0.9", "81,861", "−0.06"],
    ["de-DE,de;q=0.9,en;q=0.5", "81.861", "−0,06"],
    ["fr", `81${THIN}861`, "−0,06"],
    ["nonsense-tag-that-is-none;q=1, de;q=0.4", "81.861", "−0,06"],
    ["*", "81,861", "−0.06"],
    ["en;q=0.1, de;q=0.8", "81.861", "−0,06"],
    ["ar-EG", "81,861", "−0.06"],
  ];
  for (const [accepted, whole, small] of forms) {
    it(`are written for ${accepted ?? "nobody in particular"} as ${whole} and ${small}`, () => {
      inNumberForm(numberFormOf(accepted), () => {
        assert.equal(count(81_861), whole);
        assert.equal(decimal(-0.06, 2), small);
        assert.equal(signed(0.06, 2), small.replace("−", "+"));
        assert.equal(signed(0.001, 1), decimal(0, 1));
      });
    });
  }

  it("of a page are the reader's, of its figures everybody's, and kept pictures are not mixed up", async () => {
    const app = await runApp(fixtureAssessment(20));
    try {
      const page = async (language: string) =>
        (await app.get("/units/V-0001", { accept: "text/html", "accept-language": language })).text();
      const [english, german] = [await page("en"), await page("de")];
      const decimals = (html: string) =>
        [...html.replaceAll(/<path[^>]*>/g, "").matchAll(/>[−+]?\d+([.,])\d+</g)].map(([, mark]) => mark);
      assert.ok(decimals(english).length > 20 && decimals(english).every((mark) => mark === "."));
      assert.ok(decimals(german).length > 20 && decimals(german).every((mark) => mark === ","));
      assert.equal(await page("en"), english);
      const figures = async (language: string) =>
        (await app.get("/units?format=csv", { "accept-language": language })).text();
      assert.equal(await figures("de"), await figures("en"));
    } finally {
      await app.stop();
    }
  });
});
