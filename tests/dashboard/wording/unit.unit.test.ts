import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { type UnitPage, unitPage } from "../../../dashboard/page-models/unit.ts";
import { plain } from "../../../dashboard/wording/phrase.ts";
import { finding, keyFigures } from "../../../dashboard/wording/unit.ts";
import { fixtureAssessment } from "../support/fixture-fleet.ts";

const fleet = fixtureAssessment(200);

async function pageOf(state: string, pattern: string): Promise<UnitPage> {
  const { assessment } = await fleet.current();
  const forecast = assessment.units.find((unit) => unit.state === state && unit.pattern.name === pattern);
  return unitPage((await fleet.unit(forecast!.instrument))!);
}

describe("a unit's finding", () => {
  it("says where it goes, where most, and how likely it gets out", async () => {
    const page = await pageOf("heading-out", "span");
    assert.match(
      plain(finding(page)),
      /^V-\d+ reads (higher|lower) with every month, most at (low|medium|high) torque: \d\d\u202f% likely to be out before its service on \d+ \w+ \d{4}\.$/,
    );
  });

  it("says that a unit is out, and where", async () => {
    assert.match(
      plain(finding(await pageOf("out", "zero"))),
      /^V-\d+ reads (higher|lower) with every month, about the same at every torque: it is out of tolerance at (low|medium|high) torque\.$/,
    );
  });

  it("says plainly that a unit cannot be judged", async () => {
    const page = await pageOf("unjudged", "none");
    assert.match(plain(finding(page)), /^V-\d+ cannot be judged yet\.$/);
    assert.deepEqual(keyFigures(page), []);
  });

  it("has no date where no service is due", async () => {
    const page = await pageOf("heading-out", "span");
    const undated = { ...page, forecast: { ...page.forecast, nextServiceDueDay: null } };
    assert.match(plain(finding(undated)), /to be out before its service\.$/);
    assert.equal(keyFigures(undated)[1]!.more, "no service date is set");
  });

  it("does not forecast the time before a service that is past", async () => {
    const page = await pageOf("heading-out", "span");
    const overdue = { ...page, forecast: { ...page.forecast, nextServiceDueDay: page.asOfDay - 30 } };
    assert.match(plain(finding(overdue)), / likely to be out already; its service was due on 1 Mar 2026\.$/);
  });

  it("rests on earlier lives and the fleet where this life has no check", async () => {
    const page = await pageOf("heading-out", "span");
    const basis = { ...page.forecast.basis!, checksUsed: 0 };
    assert.match(
      plain(finding({ ...page, forecast: { ...page.forecast, basis } })),
      /^V-\d+ has not been checked since its service: by its earlier lives and the fleet it is \d\d\u202f% likely/,
    );
  });

  it("says beyond ten years where no crossing is in sight", async () => {
    const page = await pageOf("steady", "none");
    const calm = { ...page, forecast: { ...page.forecast, outOn: { p05: null, p50: null, p95: null } } };
    assert.deepEqual(
      keyFigures(calm)
        .slice(2)
        .map(({ value }) => value),
      ["beyond ten years", "beyond ten years"],
    );
  });
});
