import { bookingWhy } from "../wording/returns.ts";
import { isoOfDay } from "./days.ts";
import type { PlannedUnit, ReturnsPlan } from "./plan-returns.ts";

/** The document that `bookings --json` prints. Risks are probabilities to be out of tolerance. */
export function bookingsReport(plan: ReturnsPlan, capacityPerWeek: number | null) {
  const placed = plan.units.filter((unit) => unit.week !== null);
  return {
    as_of: isoOfDay(plan.asOfDay),
    capacity_per_week: capacityPerWeek,
    weeks: plan.weeks.map((week, w) => ({
      week: week.name,
      capacity: week.capacity,
      units: placed.filter((unit) => unit.week === w).map(({ unit }) => unit.instrument),
    })),
    units: placed.map((unit) => ({
      ...unitOf(unit, plan),
      week: plan.weeks[unit.week!]!.name,
      leaves: isoOfDay(plan.weeks[unit.week!]!.firstDay),
      moved_days: -7 * unit.reason.weeksEarly!,
      workshop: unit.workshop,
      p_out_at_return: unit.unit.outBy === null ? null : unit.reason.riskAtReturn,
    })),
    unplaced: [
      ...plan.units.filter((unit) => unit.week === null).map((unit) => unitOf(unit, plan)),
      ...plan.withoutDate.map((unit) => ({
        instrument: unit.instrument,
        site: unit.site,
        due: null,
        p_out_by_due: null,
        why: "no date of its next service is known",
      })),
    ],
    expected_out_days: plan.outcome.daysOut,
    expected_out_days_if_on_due_date: plan.onDueDates.daysOut,
    reliability_target: plan.target,
    outcome: outcomeOf(plan.outcome),
    outcome_if_on_due_date: outcomeOf(plan.onDueDates),
    gap: plan.gap,
  };
}

function unitOf(planned: PlannedUnit, plan: ReturnsPlan) {
  const { unit, dueDay, reason } = planned;
  return {
    instrument: unit.instrument,
    site: unit.site,
    due: isoOfDay(dueDay),
    p_out_by_due: unit.outBy === null ? null : reason.riskAtDue,
    why: bookingWhy(planned, plan.weeks),
  };
}

function outcomeOf(outcome: ReturnsPlan["outcome"]) {
  return {
    out_days: outcome.daysOut,
    units_out_at_return: outcome.outAtReturn,
    units_early: outcome.unitsEarly,
    weeks_early: outcome.weeksEarly,
    units_late: outcome.unitsLate,
    weeks_late: outcome.weeksLate,
    unplaced: outcome.unplaced,
    shipments: outcome.shipments,
    cost: outcome.cost,
  };
}
