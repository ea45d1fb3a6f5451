import type { Highs } from "highs";
import { type BinarySolution, solveBinary } from "./binary-program.ts";
import { bookInOrder, dueDateOrder } from "./book-in-order.ts";
import { type BookingProgram, bookingProgram } from "./booking-program.ts";
import { type BookingProblem, type Bookings, planCost, weeksLate } from "./bookings.ts";

export interface BookingPlan {
  readonly bookings: Bookings;
  /** By the problem's costs, shipments included. */
  readonly cost: number;
  /** No plan that is as little late costs less. */
  readonly bound: number;
  /** Share of the cost by which the plan may be off the best one; 0: proven best. */
  readonly gap: number;
  /** Weeks past the due dates, over all units; above 0 only where there is no room. */
  readonly weeksLate: number;
  readonly seconds: number;
}

/** Below this share the difference is the solver's rounding. */
const ROUNDING = 2e-6;

/**
 * The cheapest plan in which every unit goes by its due date; where there is no room for that, the cheapest among
 * those with the fewest weeks late.
 *
 * @param timeLimit Unit: seconds. When it is over, the best plan so far is returned, with its gap.
 * @remarks A unit that cannot go within the weeks at all has no booking, and counts as later than any other.
 */
export function solveBookings(highs: Highs, problem: BookingProblem, timeLimit = 20): BookingPlan {
  const onTime = bookingProgram(problem, false);
  const solution = solveBinary(highs, onTime, timeLimit);
  if (solution !== null) return planOf(problem, onTime, solution, solution.seconds);

  const late = bookingProgram(problem, true);
  const least = solveBinary(highs, { ...late, cost: late.lateness, links: [] }, timeLimit / 2);
  const fewest = sumOver(late.lateness, least?.chosen ?? null);
  const held = fewest === null ? late : { ...late, rows: [...late.rows, latenessRow(late, fewest)] };
  const seconds = least?.seconds ?? 0;
  const cheapest = solveBinary(highs, held, timeLimit - seconds);
  const found = cheapest?.chosen
    ? cheapest
    : { chosen: least?.chosen ?? null, bound: cheapest?.bound ?? Number.NEGATIVE_INFINITY, seconds: 0 };
  return planOf(problem, late, found, seconds + (cheapest?.seconds ?? 0));
}

function planOf(
  problem: BookingProblem,
  program: BookingProgram,
  { chosen, bound }: Pick<BinarySolution, "chosen" | "bound">,
  seconds: number,
): BookingPlan {
  // Without any plan found in the time, the due dates in their order are one.
  const bookings = chosen === null ? bookInOrder(problem, dueDateOrder(problem)) : program.read(chosen);
  const cost = planCost(problem, bookings);
  const share = (cost - bound) / Math.max(1, Math.abs(cost));
  const late = bookings.reduce((sum, b, i) => sum + (b ? weeksLate(problem.units[i]!, b.week) : 0), 0);
  return { bookings, cost, bound, gap: share < ROUNDING ? 0 : share, weeksLate: late, seconds };
}

function latenessRow({ lateness }: BookingProgram, most: number) {
  const columns = lateness.flatMap((late, c) => (late > 0 ? [c] : []));
  return {
    columns,
    factors: columns.map((c) => lateness[c]!),
    lower: Number.NEGATIVE_INFINITY,
    upper: most,
  };
}

function sumOver(values: readonly number[], chosen: Uint8Array | null): number | null {
  return chosen && values.reduce((sum, value, c) => sum + value * chosen[c]!, 0);
}
