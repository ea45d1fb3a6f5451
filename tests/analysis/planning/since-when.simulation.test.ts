import assert from "node:assert/strict";
import { beforeAll, describe, it } from "vitest";
import type { FleetFigures } from "../../../analysis/drift/figures.ts";
import { fitFleet } from "../../../analysis/drift/fit-fleet.ts";
import { type SinceWhen, sinceWhen } from "../../../analysis/planning/since-when.ts";
import { type SimulatedFleet, simulateFleet, USUAL_LAWS } from "../../simulation/simulated-fleet.ts";

/** More units drift than usual, and faster, so that enough are found out; checked every two weeks to three months. */
const LAWS = {
  ...USUAL_LAWS,
  units: 90,
  years: 2,
  sites: 4,
  checkDays: [14, 30, 45, 90],
  share: { span: 0.3, zero: 0.12, friction: 0.1, curvature: 0.08, acceleration: 0.1 },
  rate: { span: 8, zero: 5, friction: 26, curvature: 7, acceleration: 14 },
};

const SEEDS = [12, 13];

describe("since when a unit has been out, on two simulated fleets", () => {
  let simulated: SimulatedFleet;
  let figures: FleetFigures;
  let found: readonly { readonly since: number | null; readonly told: SinceWhen }[];
  beforeAll(() => {
    found = SEEDS.flatMap((seed) => {
      simulated = simulateFleet(LAWS, seed);
      figures = fitFleet(simulated.fleet);
      const { fleet, truth } = simulated;
      return fleet.units.flatMap((unit, i) => {
        const told = sinceWhen(unit, fleet, figures);
        return told.left === null ? [] : [{ since: truth[i]!.outSince, told }];
      });
    });
  }, 120_000);

  it("the true day lies within the 90 % window in 85 to 95 % of the cases", () => {
    const dated = found.flatMap(({ since, told }) => (since === null ? [] : [{ since, left: told.left! }]));
    const inside = dated.filter(({ since, left }) => since >= left.p05 - 0.5 && since <= left.p95 + 0.5);
    const share = inside.length / dated.length;
    assert.ok(dated.length >= 25, `${dated.length} units`);
    assert.ok(share >= 0.85 && share <= 0.95, `${inside.length} of ${dated.length}`);
  });

  it("hardly ever calls a unit out that has not been", () => {
    const wrong = found.filter(({ since }) => since === null).length;
    assert.ok(wrong <= Math.max(2, 0.15 * found.length), `${wrong} of ${found.length}`);
  });

  it("the chance to have left never falls, and the dates follow from it", () => {
    for (const { told } of found) {
      const { day, leftBy } = told.course;
      assert.equal(day.length, leftBy.length);
      for (let k = 1; k < leftBy.length; k++) assert.ok(leftBy[k]! >= leftBy[k - 1]!);
      assert.ok(told.left!.p05 <= told.left!.p50 && told.left!.p50 <= told.left!.p95);
      assert.ok(told.left!.p95 <= told.foundDay + 1e-6);
    }
  });

  it("the range of what a result is off by holds its middle", () => {
    for (const { told } of found) {
      for (const { p05, p50, p95 } of told.offNow) assert.ok(p05 <= p50 && p50 <= p95);
    }
  });

  it("gives the same answer each time", () => {
    const unit = simulated.fleet.units[0]!;
    assert.deepEqual(
      sinceWhen(unit, simulated.fleet, figures).course,
      sinceWhen(unit, simulated.fleet, figures).course,
    );
  });
});
