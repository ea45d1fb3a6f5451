import type { BudgetCost, UnitForecast } from "../../../analysis/index.ts";
import type { SettingsPreview } from "../../../dashboard/assessment/settings-preview.ts";
import type { CourseView } from "../../../dashboard/assessment/views.ts";
import { countStates } from "../../../dashboard/page-models/sites.ts";

/** What a change would do to an invented fleet: every fifth steady unit comes to lean. */
export function fixturePreview(units: readonly UnitForecast[]): SettingsPreview {
  const steady = units.filter(({ state }) => state === "steady").filter((_, i) => i % 5 === 0);
  const changed = steady.map(({ instrument, site, pOutBeforeService }) => ({
    instrument,
    site,
    from: "steady" as const,
    to: "leaning" as const,
    presentChance: pOutBeforeService,
    proposedChance: 0.25,
  }));
  const moved = new Set(steady);
  const side = { belowTarget: 9, overdue: 3, sitesBehind: 1 };
  return {
    units: units.length,
    unitsOf: units.length,
    present: { ...side, states: countStates(units.map(({ state }) => state)) },
    proposed: {
      ...side,
      belowTarget: 17,
      states: countStates(units.map((unit) => (moved.has(unit) ? "leaning" : unit.state))),
    },
    changed,
    verdicts: { checks: 3120, failed: 41, wouldFail: 96, passedButWouldFail: 55, failedButWouldPass: 0 },
  };
}

/** Delays under three budgets. */
export const FIXTURE_COSTS: readonly BudgetCost[] = [0.5, 1, 2].map((factor) => ({
  falseAlarmsPerMonth: 2 * factor,
  factor,
  runLength: 2000 / factor,
  delays: [
    { what: "shift", sigma: 1, checks: 16 / factor ** 0.2, months: 4 / factor ** 0.2 },
    { what: "drift", sigma: 0.05, checks: 24 / factor ** 0.1, months: 6 / factor ** 0.1 },
  ],
}));

/** Three months of an invented fleet: one unit more of those at risk comes to be so with each. */
export function fixtureCourse(units: readonly UnitForecast[]): CourseView {
  const months = ["2025-12-31", "2026-01-31", "2026-02-28"].map((asOf, m) => ({
    asOf,
    units: units.map(({ instrument, state, pOutBeforeService: chance, nextServiceDueDay: dueDay }, i) =>
      state === "out" && i % 3 > m
        ? { instrument, state: "heading-out" as const, chance: 0.7, dueDay }
        : { instrument, state, chance, dueDay },
    ),
  }));
  return { months, progress: null };
}
