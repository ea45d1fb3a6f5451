import assert from "node:assert/strict";
import { beforeAll, describe, it } from "vitest";
import { fitFleet } from "../../../analysis/drift/fit-fleet.ts";
import { earnedIntervals } from "../../../analysis/planning/earned-intervals.ts";
import { serviceFindings } from "../../../analysis/planning/service-findings.ts";
import { simulateFleet, USUAL_LAWS } from "../../simulation/simulated-fleet.ts";

describe("intervals that a simulated fleet has earned", () => {
  const { fleet, truth } = simulateFleet({ ...USUAL_LAWS, units: 60, sites: 3, checkDays: [14, 30] }, 31);
  const rules = { target: 0.95, longestDays: 400 };
  let intervals: ReturnType<typeof earnedIntervals>;
  beforeAll(() => {
    intervals = earnedIntervals(fleet, fitFleet(fleet), rules);
  });

  it("are told for every unit, never advised beyond the longest", () => {
    assert.deepEqual(
      intervals.units.map((unit) => unit.instrument),
      fleet.units.map((unit) => unit.instrument),
    );
    for (const { advice } of intervals.units) assert.ok((advice?.days ?? 0) <= rules.longestDays);
  });

  it("are earlier for units that leave tolerance before their service", () => {
    const share = (isOut: boolean) => {
      const units = intervals.units.filter((_, i) => truth[i]!.out === isOut);
      return units.filter(({ advice }) => advice?.advice === "shorten").length / units.length;
    };
    assert.ok(share(true) > 0.6, `${share(true)} of those that leave`);
    assert.ok(share(false) < 0.25, `${share(false)} of those that do not`);
  });

  it("ask for checks the oftener the faster a unit may leave", () => {
    const gaps = intervals.units.flatMap(({ checkEveryDays, drift }) =>
      drift === null ? [] : [{ gap: checkEveryDays.byDrift!, days: drift.days }],
    );
    const mean = (rows: typeof gaps) => rows.reduce((sum, { gap }) => sum + gap, 0) / rows.length;
    const sorted = [...gaps].sort((a, b) => a.days - b.days);
    assert.ok(mean(sorted.slice(0, 10)) < mean(sorted.slice(-10)));
  });

  it("rest on what the services found: one finding a life that a service ended, by the as-found check", () => {
    for (const [i, unit] of fleet.units.entries()) {
      // The first life began before the records.
      assert.equal(serviceFindings(unit).length, Math.max(0, unit.services.length - 1));
      assert.deepEqual(intervals.units[i]!.findings, serviceFindings(unit));
    }
    const [group] = intervals.groups;
    assert.equal(
      group!.findings,
      intervals.units.reduce((sum, { findings }) => sum + findings.length, 0),
    );
    assert.ok(group!.reliability!.lower <= group!.reliability!.share);
    if (group!.exponential) assert.ok(group!.exponential.sureDays < group!.exponential.days);
  });
});
