import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { plainForecasts } from "../../../analysis/drift/plain-models.ts";
import type { UnitChecks } from "../../../analysis/fleet.ts";
import { unitReadings } from "../../support/unit-readings.ts";

/** A unit whose medium band reads these errors over tolerance (2.5 % of full scale), a month apart. */
function unitOf(values: readonly number[], serviceDay: number | null = null): UnitChecks {
  return {
    instrument: "A",
    site: null,
    modelClass: null,
    usage: null,
    services: serviceDay === null ? [] : [{ day: serviceDay, action: "adjusted" }],
    nextServiceDueDay: null,
    readings: unitReadings(values.map((value, k) => ({ day: 30 * k, error: 2.5 * value }))),
  };
}

describe("plain forecasts", () => {
  it("stay where the last check saw the unit, rest at the mean, or follow the line", () => {
    const rising = unitOf([0, 0.1, 0.2, 0.3, 0.4, 0.5]);
    const soon = plainForecasts(rising, 200)!;
    const late = plainForecasts(rising, 400)!;
    assert.ok(soon.lastValue < 0.01 && soon.mean < 0.01 && soon.straightLine < 0.01);
    assert.ok(late.lastValue < 0.01 && late.mean < 0.01 && late.straightLine > 0.99);
  });

  it("count both sides and a value at the limit as an even chance", () => {
    assert.ok(Math.abs(plainForecasts(unitOf([-1]), 60)!.lastValue - 0.5) < 1e-6);
    assert.ok(plainForecasts(unitOf([-1.6]), 60)!.lastValue > 0.99);
  });

  it("of two points draw no line", () => {
    const { lastValue, straightLine } = plainForecasts(unitOf([0, 0.4]), 900)!;
    assert.equal(straightLine, lastValue);
  });

  it("look at the present life only, and say nothing without a reading in it", () => {
    assert.ok(plainForecasts(unitOf([2, 2, 2, 0, 0], 75), 200)!.mean < 0.01);
    assert.equal(plainForecasts(unitOf([2, 2], 75), 200), null);
  });

  it("of a series without scatter are no certainty", () => {
    const { straightLine } = plainForecasts(unitOf([0.99, 0.99, 0.99]), 90)!;
    assert.ok(straightLine > 0.05 && straightLine < 0.5, `${straightLine}`);
  });
});
