import {
  type BookingProblem,
  type BookingReason,
  type Bookings,
  bookInOrder,
  bookingReasons,
  dueDateOrder,
  expectedDaysOut,
  loadSolver,
  type Obstacle,
  obstaclesByWeek,
  type PlanOutcome,
  planOutcome,
  type Shortage,
  solveBookings,
  worstShortage,
} from "../../analysis/index.ts";
import type { Settings } from "../settings.ts";
import { poseProblem, type ReturnsQuestion } from "./booking-problem.ts";
import type { PlanningWeek, ReturnsInput, ReturnsUnit } from "./returns-input.ts";

/** A return plan, with what it is expected to come to. Plain data. */
export interface ReturnsPlan {
  readonly asOfDay: number;
  /** Up to the last that holds a booking or a due date. */
  readonly weeks: readonly PlannedWeek[];
  /** In the order of their weeks; those without a booking last. */
  readonly units: readonly PlannedUnit[];
  /** Units without a service date: nothing to plan by. */
  readonly withoutDate: readonly ReturnsUnit[];
  readonly outcome: PlanOutcome;
  /** The same for everybody on the due date, or as near to it as the same room allows. */
  readonly onDueDates: PlanOutcome;
  /** Both, for the units of each site. */
  readonly bySite: readonly SiteOutcome[];
  /** Share of its cost by which the plan may be off the best; 0: proven best; null: not known. */
  readonly gap: number | null;
  readonly seconds: number;
  readonly shortage: Shortage | null;
  readonly target: number;
}

export interface SiteOutcome extends Pick<ReturnsPlan, "outcome" | "onDueDates"> {
  readonly site: string;
}

export interface PlannedWeek extends PlanningWeek {
  /** Units that all workshops together take in. */
  readonly capacity: number;
  readonly booked: number;
  /** Due dates that fall into the week; the first week also counts those that are past. */
  readonly due: number;
}

export interface PlannedUnit {
  readonly unit: ReturnsUnit;
  readonly dueDay: number;
  /** Index of the week in which it leaves; null: no room. */
  readonly week: number | null;
  readonly workshop: string | null;
  readonly reason: BookingReason;
  /** Expected days out of tolerance, in use, before it leaves; to the end of the weeks where there is no room. */
  readonly daysOut: number;
}

/** Makes the plan that a question asks for, and weighs it against everybody's due date. */
export async function planReturns(
  input: ReturnsInput,
  question: ReturnsQuestion,
  settings: Settings,
  timeLimit?: number,
): Promise<ReturnsPlan> {
  const { problem, units } = poseProblem(input, question, settings);
  const plan = solveBookings(await loadSolver(), problem, timeLimit);
  const reasons = bookingReasons(problem, plan.bookings);
  const planned = units.map((unit, i): PlannedUnit => {
    const booking = plan.bookings[i]!;
    return {
      unit,
      dueDay: unit.dueDay!,
      week: booking?.week ?? null,
      workshop: booking === null ? null : problem.workshops[booking.workshop]!.name,
      reason: { ...reasons[i]!, riskAtDue: riskAt(input, unit, unit.dueDay!) ?? reasons[i]!.riskAtDue },
      daysOut: expectedDaysOut(problem.units[i]!, booking?.week ?? problem.weeks - 1),
    };
  });
  const onDueDates = bookInOrder(problem, dueDateOrder(problem));
  planned.sort((a, b) => (a.week ?? Infinity) - (b.week ?? Infinity) || a.dueDay - b.dueDay || 0);
  return {
    asOfDay: input.asOfDay,
    weeks: plannedWeeks(input, problem, plan.bookings),
    units: planned,
    withoutDate: input.units.filter((unit) => unit.dueDay === null),
    outcome: planOutcome(problem, plan.bookings),
    onDueDates: planOutcome(problem, onDueDates),
    bySite: [...new Set(units.flatMap(({ site }) => site ?? []))].map((site) => {
      const isThere = (_: unknown, i: number) => units[i]!.site === site;
      const part = { ...problem, units: problem.units.filter(isThere) };
      return {
        site,
        outcome: planOutcome(part, plan.bookings.filter(isThere)),
        onDueDates: planOutcome(part, onDueDates.filter(isThere)),
      };
    }),
    gap: Number.isFinite(plan.gap) ? plan.gap : null,
    seconds: plan.seconds,
    shortage: worstShortage(problem),
    target: question.reliabilityTarget ?? settings.reliability_target,
  };
}

/**
 * Probability to have left tolerance by a day, between the Mondays by a straight line: a plan counts in weeks, but who
 * reads of a due date holds it against the forecast for that very day.
 */
function riskAt({ weeks }: ReturnsInput, { outBy }: ReturnsUnit, day: number): number | null {
  const after = weeks.findIndex(({ firstDay }) => firstDay >= day);
  if (outBy === null || after < 0) return null;
  if (after === 0) return outBy[0]!;
  const [from, to] = [weeks[after - 1]!.firstDay, weeks[after]!.firstDay];
  return outBy[after - 1]! + ((day - from) / (to - from)) * (outBy[after]! - outBy[after - 1]!);
}

/** What keeps a unit of the plan from each of its weeks, all others staying where they are; null where it could go. */
export function obstaclesOf(
  input: ReturnsInput,
  question: ReturnsQuestion,
  settings: Settings,
  plan: ReturnsPlan,
  instrument: string,
): readonly (Obstacle | null)[] {
  const { problem } = poseProblem(input, question, settings);
  const planned = new Map(plan.units.map((unit) => [unit.unit.instrument, unit]));
  const bookings = problem.units.map((unit) => {
    const { week, workshop } = planned.get(unit.instrument)!;
    return week === null
      ? null
      : { week, workshop: problem.workshops.findIndex(({ name }) => name === workshop) };
  });
  const asked = problem.units.findIndex((unit) => unit.instrument === instrument);
  return obstaclesByWeek(problem, bookings, asked);
}

function plannedWeeks(input: ReturnsInput, problem: BookingProblem, bookings: Bookings): PlannedWeek[] {
  const weeks = input.weeks.map(
    (week, w): PlannedWeek => ({
      ...week,
      capacity: problem.workshops.reduce((sum, shop) => sum + shop.capacity[w]!, 0),
      booked: bookings.filter((booking) => booking?.week === w).length,
      due: problem.units.filter((unit) => Math.max(0, unit.dueWeek) === w).length,
    }),
  );
  return weeks.slice(0, 1 + weeks.findLastIndex(({ booked, due }) => booked > 0 || due > 0));
}
