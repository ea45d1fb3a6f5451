import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { demoFleet } from "../../../dashboard/demo/demo-fleet.ts";
import { ownErrorAt, toleranceAt } from "../../../dashboard/demo/own-error.ts";
import type { InstrumentTruth } from "../../../dashboard/demo/truth.ts";

const AS_OF = "2026-03-31";
const DAY_MS = 86_400_000;
const NO_RATES = {
  zeroPerYear: 0,
  spanPerYear: 0,
  curvaturePerYear: 0,
  frictionPerYear: 0,
  spanPerYearSquared: 0,
};

type State = InstrumentTruth["state"];

/** The law, written out a second time, some years ahead of the cut-off along the rates alone. */
function worstAfter(state: State, years: number): number {
  const z = state.z + state.zr * years;
  const s = state.s + state.sr * years + (state.acc * years ** 2) / 2;
  const q = state.q + state.qr * years;
  const f = Math.max(0, state.f + state.fr * years);
  return Math.max(
    ...[20, 50, 85].map((x) => {
      const u = x / 100;
      const error = z + s * u + q * 4 * (u ** 2 - u) - f * Math.exp(-x / 12);
      return Math.abs(error) / (0.01 * x + 2);
    }),
  );
}

function daysBetween(from: string, to: string): number {
  return (Date.parse(to) - Date.parse(from)) / DAY_MS;
}

describe("own error and tolerance", () => {
  it("follow the law, by hand at 50 % torque", () => {
    const state = { zero: 0.3, span: -1, curvature: 0.4, friction: 2, ...NO_RATES };
    // 0.3 - 0.5 - 0.4 - 2 exp(-50/12)
    assert.ok(Math.abs(ownErrorAt(state, 50) - (0.3 - 0.5 - 0.4 - 2 * 0.015503853599)) < 1e-9);
    assert.equal(toleranceAt(50), 2.5);
  });
});

describe("the truth of a fleet", () => {
  const truth = demoFleet({ asOf: AS_OF, seed: 4, driftingShare: 0.4 }).truth();

  it("has the present error of its state", () => {
    for (const unit of truth.instruments) {
      assert.ok(Math.abs(unit.now - worstAfter(unit.state, 0)) < 1e-12, unit.instrument);
      assert.equal(unit.outNow, unit.now > 1);
      assert.ok(unit.worst >= unit.now);
      assert.equal(unit.out, unit.worst > 1);
    }
  });

  it("says when a unit leaves tolerance, after the cut-off and before its service", () => {
    const leaving = truth.instruments.filter((unit) => unit.firstOut !== null);
    assert.ok(leaving.length > 20, `${leaving.length} units leave`);
    for (const unit of truth.instruments) {
      if (unit.firstOut === null) assert.ok(!unit.out || unit.due <= AS_OF || unit.outNow, unit.instrument);
      else assert.ok(unit.out && unit.firstOut > AS_OF && unit.firstOut <= unit.due, unit.instrument);
    }
  });

  it("puts that day where the rates lead, give or take the wander", () => {
    const aside: number[] = [];
    for (const unit of truth.instruments) {
      if (unit.steps.some((step) => step.future) || unit.firstOut === null || unit.now > 0.9) continue;
      const days = daysBetween(AS_OF, unit.firstOut);
      const years = days / 365.25;
      const distance = worstAfter(unit.state, years) - 1;
      // The wander at high torque, over the tolerance: sqrt(0.1^2 + (0.85 x 0.22)^2 + (0.51 x 0.06)^2)/2.85, about 0.075
      // times the square root of the years. Four times that is as good as never; 0.02 is half a day and friction.
      assert.ok(
        Math.abs(distance) < 4 * 0.075 * Math.sqrt(years) + 0.02,
        `${unit.instrument} after ${days} days`,
      );
      aside.push(distance);
    }
    const mean = aside.reduce((sum, distance) => sum + distance, 0) / aside.length;
    assert.ok(aside.length > 15, `${aside.length} units judged`);
    // The first crossing is early on the whole, since the wander may only help; a month's mistake would be some 0.15.
    assert.ok(mean < 0.02 && mean > -0.06, `mean distance from the tolerance ${mean}`);
  });

  it("knows lots and baths", () => {
    assert.equal(truth.sites.filter((site) => Math.abs(site.bath) > 0.18).length, 1);
    const bad = truth.lots.filter((lot) => Math.abs(lot.biasAtLastUse) > 0.9);
    assert.equal(bad.length, 2);
    for (const lot of truth.lots) {
      const years = daysBetween(lot.from, AS_OF) / 365.25;
      assert.ok(Math.abs(lot.biasAtCutoff - lot.bias - lot.ageing * years) < 1e-9, lot.id);
      assert.ok(lot.lastUse >= lot.from && lot.lastUse < AS_OF, lot.id);
    }
  });
});
