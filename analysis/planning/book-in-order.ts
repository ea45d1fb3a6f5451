import type { Booking, BookingProblem } from "./bookings.ts";
import { Room } from "./room.ts";

/**
 * The plan without a forecast: units in an order, each in the latest week up to its due date that has room, or else
 * in the first after it. The yardstick that a plan made with the forecast is held against.
 *
 * @param order Indices of the problem's units, most urgent first.
 * @returns null for a unit for which no week has room. Units booked by hand keep their week.
 */
export function bookInOrder(problem: BookingProblem, order: readonly number[]): (Booking | null)[] {
  const room = new Room(problem);
  const bookings: (Booking | null)[] = problem.units.map((unit, i) => {
    if (unit.fixedWeek === null) return null;
    const booking = room.find(i, unit.fixedWeek) ?? { week: unit.fixedWeek, workshop: 0 };
    room.count(i, booking, 1);
    return booking;
  });
  for (const i of order) {
    if (bookings[i] !== null) continue;
    const due = Math.max(0, Math.min(problem.units[i]!.dueWeek, problem.weeks - 1));
    for (const week of nearest(due, problem.weeks)) {
      const booking = room.find(i, week);
      if (booking === null) continue;
      room.count(i, booking, 1);
      bookings[i] = booking;
      break;
    }
  }
  return bookings;
}

/** due, due - 1 … 0, then due + 1 … */
function nearest(due: number, weeks: number): number[] {
  return Array.from({ length: weeks }, (_, k) => (k <= due ? due - k : k));
}

/** Everybody on the due date as far as there is room: the earliest due first. */
export function dueDateOrder({ units }: BookingProblem): number[] {
  return units.map((_, i) => i).sort((a, b) => units[a]!.dueWeek - units[b]!.dueWeek);
}
