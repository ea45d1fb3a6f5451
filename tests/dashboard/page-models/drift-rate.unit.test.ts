import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { driftPerYear } from "../../../dashboard/page-models/drift-rate.ts";
import { fixtureAssessment } from "../support/fixture-fleet.ts";

const view = (await fixtureAssessment(40).unit("V-0029"))!;
const still = { now: 0, sd: 0.1, perYear: 0 };
const rule = { torque: [0, 20, 50, 85, 100], tolerance: [2, 2.2, 2.5, 2.85, 3] };
const rateOf = (band: "low" | "medium" | "high", moving: object): number =>
  driftPerYear(
    {
      ...view.forecast,
      band,
      shape: { zero: still, span: still, curvature: still, friction: null, ...moving },
    },
    rule,
  )!;

describe("driftPerYear", () => {
  it("is each component's share of the error at the torque where the band is judged", () => {
    const rate = { now: 0, sd: 0.1, perYear: 1 };
    const close = (actual: number, byHand: number): void => assert.ok(Math.abs(actual - byHand) < 1e-12);
    close(rateOf("low", { zero: rate }), 1 / 2.2);
    close(rateOf("high", { span: rate }), 0.85 / 2.85);
    close(rateOf("medium", { curvature: rate }), -1 / 2.5);
    close(rateOf("low", { friction: rate }), -Math.exp(-20 / 12) / 2.2);
  });

  it("is not known where the unit is not judged", () => {
    assert.equal(driftPerYear({ ...view.forecast, shape: null }, rule), null);
    assert.equal(driftPerYear({ ...view.forecast, band: null }, rule), null);
  });
});
