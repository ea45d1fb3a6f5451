import assert from "node:assert/strict";
import { describe, it } from "vitest";
import type { FleetChecks, Service } from "../../analysis/fleet.ts";
import { neighbourScatter, siteScatter } from "../../analysis/site-scatter.ts";
import { DEFAULT_TOLERANCE_RULE } from "../../analysis/tolerance.ts";

/** One unit with a check a week at 50 % torque, its errors and lots given. */
function fleet(
  errors: readonly number[],
  lots: readonly number[] = errors.map(() => 0),
  services: Service[] = [],
): FleetChecks {
  const count = errors.length;
  const column = (of: (i: number) => number) => Float64Array.from({ length: count }, (_, i) => of(i));
  const whole = (of: (i: number) => number) => Int32Array.from({ length: count }, (_, i) => of(i));
  return {
    asOfDay: 1000,
    units: [
      {
        instrument: "U-1",
        site: "North",
        modelClass: null,
        usage: null,
        services,
        nextServiceDueDay: null,
        readings: {
          count,
          day: column((i) => 1000 - 7 * (count - i)),
          check: whole((i) => i),
          torque: column(() => 50),
          error: column((i) => errors[i]!),
          tolerance: column(() => 2.5),
          lot: whole((i) => lots[i]!),
          site: whole(() => 0),
          geometry: whole(() => -1),
          operator: whole(() => -1),
          temperatureOffset: column(() => Number.NaN),
          stage: new Uint8Array(count),
          use: new Uint8Array(count).fill(1),
        },
      },
    ],
    lots: [],
    sites: ["North"],
    geometries: [],
    operators: [],
    toleranceRule: DEFAULT_TOLERANCE_RULE,
  };
}

const UP_AND_DOWN = Array.from({ length: 14 }, (_, i) => i % 2);

describe("scatter of a site", () => {
  it("is the root of half the mean squared difference between neighbours", () => {
    const { percentFs, differences } = siteScatter(fleet(UP_AND_DOWN)).get("North")!;
    assert.equal(differences, 13);
    assert.ok(Math.abs(percentFs - Math.SQRT1_2) < 1e-12);
    assert.equal(neighbourScatter([]), null);
  });

  it("hardly sees a drift", () => {
    const drift = Array.from({ length: 20 }, (_, i) => i * 0.01);
    assert.ok(siteScatter(fleet(drift)).get("North")!.percentFs < 0.0071);
  });

  it("holds nothing beside each other across another lot or a service", () => {
    const step = UP_AND_DOWN.map((_, i) => (i < 6 ? 0 : 5));
    const lots = step.map((_, i) => (i < 6 ? 0 : 1));
    assert.equal(siteScatter(fleet(step, lots)).get("North")!.percentFs, 0);
    const serviced = siteScatter(fleet(step, undefined, [{ day: 1000 - 7 * 8, action: "adjusted" }]));
    assert.equal(serviced.get("North")!.percentFs, 0);
  });

  it("says nothing of a site with few checks", () => {
    assert.equal(siteScatter(fleet([1, 2, 3])).size, 0);
  });
});
