import assert from "node:assert/strict";

import { describe, it } from "vitest";
import type { BookingProblem } from "../../../analysis/planning/bookings.ts";
import { solveBookings } from "../../../analysis/planning/solve-bookings.ts";
import { loadSolver } from "../../../analysis/planning/solver.ts";

const highs = await loadSolver();

const RISK = {
  A: [0.02, 0.03, 0.05, 0.08],
  B: [0.1, 0.16, 0.24, 0.33],
  C: [0.3, 0.42, 0.55, 0.67],
  D: [0.01, 0.01, 0.02, 0.02],
  E: [0.05, 0.09, 0.14, 0.2],
};
const DUE_WEEK = { A: 3, B: 2, C: 1, D: 3, E: 3 };
const NAMES = ["A", "B", "C", "D", "E"] as const;

/** A worked example, all 4^5 plans counted by hand elsewhere: the best costs 74, the next 77. */
const EXAMPLE: BookingProblem = {
  weeks: 4,
  units: NAMES.map((name) => ({
    instrument: name,
    site: name < "C" ? "one" : "two",
    dueWeek: DUE_WEEK[name],
    criticality: 1,
    outBy: RISK[name],
    fixedWeek: null,
    skill: null,
  })),
  workshops: [{ name: "workshop", capacity: [2, 1, 1, 1], skills: null }],
  cover: [
    { kind: "site", site: "one", geometry: null, units: [0, 1], awayAtOnce: 1 },
    { kind: "site", site: "two", geometry: null, units: [2, 3, 4], awayAtOnce: 1 },
  ],
  turnaroundWeeks: 1,
  costs: { outAtReturn: 100, weekOut: 0, weekEarly: 3, weekLate: 40, shipment: 0 },
};

describe("solveBookings on the worked example of five units and four weeks", () => {
  it("finds the plan that costs 74: A in week 3, B and C in week 1, D in week 4, E in week 2", () => {
    const plan = solveBookings(highs, EXAMPLE);
    assert.deepEqual(
      plan.bookings.map((b) => b!.week + 1),
      [3, 1, 1, 4, 2],
    );
    assert.ok(Math.abs(plan.cost - 74) < 1e-9, `cost ${plan.cost}`);
    assert.equal(plan.gap, 0);
    assert.equal(plan.weeksLate, 0);
  });

  it("finds 77 next, once one unit of that plan may not go there", () => {
    // Closing each unit's own choice in turn and keeping the best: the second-best plan differs somewhere.
    const best = solveBookings(highs, EXAMPLE).bookings;
    const others = EXAMPLE.units.flatMap((unit, i) =>
      [0, 1, 2, 3]
        .filter((week) => week !== best[i]!.week && week <= unit.dueWeek)
        .map((fixedWeek) => ({
          ...EXAMPLE,
          units: EXAMPLE.units.map((u, k) => (k === i ? { ...u, fixedWeek } : u)),
        })),
    );
    const costs = others.map((problem) => solveBookings(highs, problem)).filter((p) => p.weeksLate === 0);
    const next = Math.min(...costs.map((plan) => plan.cost));
    assert.ok(Math.abs(next - 77) < 1e-9, `next ${next}`);
  });
});
