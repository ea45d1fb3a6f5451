import assert from "node:assert/strict";
import { describe, it } from "vitest";
import type { UnitView } from "../../../dashboard/assessment/views.ts";
import { evidenceOf } from "../../../dashboard/page-models/evidence.ts";
import { factText, gapText } from "../../../dashboard/wording/evidence.ts";
import { fixtureAssessment } from "../support/fixture-fleet.ts";

const view = (await fixtureAssessment(40).unit("V-0029"))!;
const basis = view.forecast.basis!;
const withBasis = (change: Partial<typeof basis>): UnitView => ({
  ...view,
  forecast: { ...view.forecast, basis: { ...basis, ...change } },
});
const facts = (from: UnitView): string[] => evidenceOf(from).forIt.map(factText);
const gaps = (from: UnitView): string[] => evidenceOf(from).notKnown.map(gapText);

describe("what the figures say", () => {
  it("names the size, the uncertainty and the rate of what moves", () => {
    assert.match(
      facts(view)[0]!,
      /^Span stands at [\u2212+]\d\.\d\d \u00b1 0\.20\u202f% of full scale and moves by/,
    );
  });

  it("says that one accessory leaves open what the error follows", () => {
    assert.ok(gaps(view).some((text) => text.includes("only been checked with cup-B")));
    const readings = view.readings.map((reading, i) => ({
      ...reading,
      geometry: i % 2 === 0 ? "cup-A" : "cup-B",
    }));
    assert.ok(!gaps({ ...view, readings }).some((text) => text.includes("cup-")));
  });

  it("tells shared errors only where they are worth telling", () => {
    assert.ok(
      facts(withBasis({ sharedErrorRemoved: 1.8 })).some((text) => /read 1\.8\u202f% high/.test(text)),
    );
    assert.ok(!facts(withBasis({ sharedErrorRemoved: 0.1 })).some((text) => text.startsWith("Lot and bath")));
  });

  it("tells what its own checks alone would say where that differs", () => {
    assert.ok(
      facts(withBasis({ pOutBeforeServiceAlone: 0.2 })).some((text) =>
        text.endsWith("it would be 20\u202f%."),
      ),
    );
    const same = withBasis({ pOutBeforeServiceAlone: view.forecast.pOutBeforeService });
    assert.ok(!facts(same).some((text) => text.startsWith("Judged from its own")));
  });

  it("owns that the fleet's experience sets the rate where the unit's checks are few", () => {
    assert.ok(
      gaps(withBasis({ fleetWeight: 0.8, checksUsed: 2 })).some((text) =>
        text.includes("80\u202f% to what is usual in the fleet"),
      ),
    );
    assert.ok(!gaps(withBasis({ fleetWeight: 0.1 })).some((text) => text.includes("usual in the fleet")));
  });

  it("dates the first check beyond the limits", () => {
    assert.ok(
      facts(view).some((text) =>
        /^\d+ of \d+ checks at \w+ torque.* went beyond the limits .* first on \d+ \w+ \d{4}\.$/.test(text),
      ),
    );
  });
});
