import assert from "node:assert/strict";
import { afterAll, beforeAll, describe, it } from "vitest";
import { CHECK_VALUES } from "../../../dashboard/how/check-values.ts";
import { FIGURE_ENTRIES } from "../../../dashboard/how/entries.ts";
import { figured } from "../../../dashboard/pages/figured.ts";
import { fixtureAssessment } from "../support/fixture-fleet.ts";
import { type RunningApp, runApp } from "../support/running-app.ts";

/** Every page that shows figures. */
const PAGES = [
  "/",
  "/units",
  "/units/V-0029",
  "/units/V-0029/checks",
  "/fluids",
  "/fluids/L-25-07",
  "/returns?capacity=3",
  "/record",
  "/worth-a-look",
  "/findings",
  "/intervals",
  "/settings",
];

let app: RunningApp;
let how: string;
beforeAll(async () => {
  app = await runApp(fixtureAssessment(60));
  how = await (await app.get("/how")).text();
});
afterAll(() => app.stop());

describe("how it is figured", () => {
  it("every page leads to it, figure by figure, and what it leads to is there", async () => {
    const linked = new Set<string>();
    const unit = await (await app.get("/units/V-0029")).text();
    const quantity = /href="(\/units\/V-0029\/watch\/[a-z]+)/.exec(unit)![1]!;
    for (const path of [...PAGES, quantity]) {
      const response = await app.get(path);
      assert.equal(response.status, 200, path);
      const anchors = [
        ...(await response.text()).matchAll(/href="\/how#([a-z-]+)" aria-label="How it is figured: /g),
      ];
      assert.ok(anchors.length > 0, `${path} leads nowhere`);
      for (const [, id] of anchors) {
        assert.ok(how.includes(`<section id="${id}"`), `${path}: ${id}`);
        linked.add(id!);
      }
    }
    assert.deepEqual(
      FIGURE_ENTRIES.map(({ id }) => id).filter((id) => !linked.has(id)),
      [],
    );
  });

  it("every entry has a formula that can be listened to, what it takes for granted, a source and a check value", () => {
    for (const { id, assumes, source, checks, letters } of FIGURE_ENTRIES) {
      assert.ok(assumes.length > 0 && checks.length > 0 && source !== "" && letters !== "", id);
      const from = how.indexOf(`<section id="${id}"`);
      const part = how.slice(from, how.indexOf("</section>", from));
      assert.match(part, /<math display="block" alttext="[^"]{10,}" aria-label="[^"]{10,}">/, id);
    }
    assert.equal(new Set(FIGURE_ENTRIES.map(({ id }) => id)).size, FIGURE_ENTRIES.length);
  });

  it("shows every check value that the tests work out, and no other", () => {
    const shown = new Set<string>(FIGURE_ENTRIES.flatMap(({ checks }) => checks.map(({ value }) => value)));
    assert.deepEqual([...shown].sort(), Object.keys(CHECK_VALUES).sort());
  });

  it("has its figures as JSON and CSV", async () => {
    const { figures } = (await (await app.get("/how?format=json")).json()) as {
      figures: { expected: number }[];
    };
    assert.ok(figures.length >= FIGURE_ENTRIES.length);
    assert.match(
      await (await app.get("/how?format=csv")).text(),
      /^id,name,source,given,expected,unit,from\r\n/,
    );
  });

  it("refuses a link to a figure that it does not have", () => {
    assert.throws(() => figured("entropy"), /no figure is called entropy/);
  });
});
