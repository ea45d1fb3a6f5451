import type { PlannedUnit, ReturnsPlan } from "./plan-returns.ts";

/** One unit moved by hand, beside where the plan would have it; both null: it is booked nowhere. */
export interface MovedUnit {
  readonly moved: PlannedUnit;
  readonly free: PlannedUnit;
}

/**
 * What was moved by hand.
 *
 * @param free The plan of the same question without the moves.
 */
export function movedUnits(plan: ReturnsPlan, free: ReturnsPlan): MovedUnit[] {
  const freeOf = new Map(free.units.map((unit) => [unit.unit.instrument, unit]));
  return plan.units
    .filter(({ reason }) => reason.isFixed)
    .map((moved) => ({ moved, free: freeOf.get(moved.unit.instrument)! }));
}

/** Weeks in which a plan takes in more than another has room for; beyond that one's end, more than in its first week. */
export function overtimeWeeks(other: ReturnsPlan, plan: ReturnsPlan): number {
  return other.weeks.filter(
    ({ booked }, w) => booked > (plan.weeks[w]?.capacity ?? plan.weeks[0]?.capacity ?? 0),
  ).length;
}

/** Moves by hand for JSON: where each unit goes, where it would go, and what that costs in risk. */
export function movedReport(plan: ReturnsPlan, free: ReturnsPlan) {
  return movedUnits(plan, free).map(({ moved, free: other }) => ({
    instrument: moved.unit.instrument,
    week: moved.week === null ? null : plan.weeks[moved.week]!.name,
    week_if_free: other.week === null ? null : free.weeks[other.week]!.name,
    p_out_at_return: moved.unit.outBy === null ? null : moved.reason.riskAtReturn,
    p_out_at_return_if_free: other.unit.outBy === null ? null : other.reason.riskAtReturn,
    expected_out_days: moved.daysOut,
    expected_out_days_if_free: other.daysOut,
  }));
}
