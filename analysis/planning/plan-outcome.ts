import {
  type BookingProblem,
  type Bookings,
  expectedDaysOut,
  planCost,
  shipmentsOf,
  weeksLate,
} from "./bookings.ts";

/** What a plan is expected to come to, by the forecast. */
export interface PlanOutcome {
  /** Days out of tolerance, in use, before the return; summed over the units. */
  readonly daysOut: number;
  /** Units out of tolerance when they leave. */
  readonly outAtReturn: number;
  /** Weeks of interval given away, summed over the units. */
  readonly weeksEarly: number;
  readonly unitsEarly: number;
  readonly unitsLate: number;
  readonly weeksLate: number;
  readonly unplaced: number;
  readonly shipments: number;
  readonly cost: number;
}

/** Adds up a plan; a unit without a booking counts as used to the end of the weeks. */
export function planOutcome(problem: BookingProblem, bookings: Bookings): PlanOutcome {
  let daysOut = 0;
  let outAtReturn = 0;
  let weeksEarly = 0;
  let unitsEarly = 0;
  let unitsLate = 0;
  let late = 0;
  problem.units.forEach((unit, i) => {
    const week = bookings[i]?.week ?? problem.weeks - 1;
    daysOut += expectedDaysOut(unit, week);
    outAtReturn += unit.outBy[week]!;
    if (bookings[i] === null) return;
    const early = Math.max(0, unit.dueWeek - week);
    weeksEarly += early;
    if (early > 0) unitsEarly++;
    late += weeksLate(unit, week);
    if (weeksLate(unit, week) > 0) unitsLate++;
  });
  return {
    daysOut,
    outAtReturn,
    weeksEarly,
    unitsEarly,
    unitsLate,
    weeksLate: late,
    unplaced: bookings.filter((booking) => booking === null).length,
    shipments: shipmentsOf(problem, bookings).size,
    cost: planCost(problem, bookings),
  };
}
