import assert from "node:assert/strict";

import { describe, it } from "vitest";
import { solveBookings } from "../../../analysis/planning/solve-bookings.ts";
import { loadSolver } from "../../../analysis/planning/solver.ts";
import { againstSource } from "../../support/reference-table.ts";
import { WORKED_PLAN } from "./worked-plan.ts";

const SOURCE = "five units, four weeks, all plans counted";

const highs = await loadSolver();

describe("solveBookings on the worked example of five units and four weeks", () => {
  it("finds the plan that costs 74: A in week 3, B and C in week 1, D in week 4, E in week 2", () => {
    const plan = solveBookings(highs, WORKED_PLAN);
    assert.deepEqual(
      plan.bookings.map((b) => b!.week + 1),
      [3, 1, 1, 4, 2],
    );
    againstSource("cost of the best plan", SOURCE, 74, plan.cost, { absolute: 1e-9 });
    assert.equal(plan.gap, 0);
    assert.equal(plan.weeksLate, 0);
  });

  it("finds 77 next, once one unit of that plan may not go there", () => {
    // Closing each unit's own choice in turn and keeping the best: the second-best plan differs somewhere.
    const best = solveBookings(highs, WORKED_PLAN).bookings;
    const others = WORKED_PLAN.units.flatMap((unit, i) =>
      [0, 1, 2, 3]
        .filter((week) => week !== best[i]!.week && week <= unit.dueWeek)
        .map((fixedWeek) => ({
          ...WORKED_PLAN,
          units: WORKED_PLAN.units.map((u, k) => (k === i ? { ...u, fixedWeek } : u)),
        })),
    );
    const costs = others.map((problem) => solveBookings(highs, problem)).filter((p) => p.weeksLate === 0);
    const next = Math.min(...costs.map((plan) => plan.cost));
    againstSource("cost of the next", SOURCE, 77, next, { absolute: 1e-9 });
  });
});
