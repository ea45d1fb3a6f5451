import type { BookingProblem } from "../../../analysis/planning/bookings.ts";

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
export const WORKED_PLAN: BookingProblem = {
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
