import { type BookingProblem, type Bookings, bookingCost, shipmentsOf, weeksLate } from "./bookings.ts";
import { type Obstacle, Room } from "./room.ts";

/** Why a unit is booked where it is: figures for a sentence. */
export interface BookingReason {
  /** Probability to be out by its due week, and by the week in which it leaves (null: not booked). */
  readonly riskAtDue: number;
  readonly riskAtReturn: number | null;
  /** Weeks before its due week; below 0 where after it. null: not booked. */
  readonly weeksEarly: number | null;
  readonly weeksLate: number;
  readonly isFixed: boolean;
  /** The week that would suit it best, were it alone. */
  readonly wantedWeek: number;
  /** What keeps it from that week; null where nothing does, or where it has it. */
  readonly obstacle: Obstacle | null;
  /** Units that travel with it. */
  readonly shippedWith: number;
  /** For a unit that goes late or not at all: what fills each of the weeks up to its due date, week by week. */
  readonly obstaclesUpToDue: readonly Obstacle[];
}

/** The reasons of a whole plan, in the order of the problem's units. */
export function bookingReasons(problem: BookingProblem, bookings: Bookings): BookingReason[] {
  const room = new Room(problem);
  bookings.forEach((booking, i) => {
    if (booking !== null) room.count(i, booking, 1);
  });
  const company = new Int32Array(bookings.length);
  for (const units of shipmentsOf(problem, bookings).values()) {
    for (const i of units) company[i] = units.length - 1;
  }
  return problem.units.map((unit, i) => {
    const booking = bookings[i]!;
    const due = Math.min(Math.max(0, unit.dueWeek), problem.weeks - 1);
    const wantedWeek = bestWeekAlone(problem, i, due);
    const late = booking === null ? 0 : weeksLate(unit, booking.week);
    if (booking !== null) room.count(i, booking, -1);
    const obstacle = booking?.week === wantedWeek ? null : room.obstacle(i, wantedWeek);
    const obstaclesUpToDue: Obstacle[] = [];
    if (late > 0 || booking === null) {
      for (let week = 0; week <= due; week++) {
        const found = room.obstacle(i, week);
        if (found !== null) obstaclesUpToDue.push(found);
      }
    }
    if (booking !== null) room.count(i, booking, 1);
    return {
      riskAtDue: unit.outBy[due]!,
      riskAtReturn: booking === null ? null : unit.outBy[booking.week]!,
      weeksEarly: booking === null ? null : unit.dueWeek - booking.week,
      weeksLate: late,
      isFixed: unit.fixedWeek !== null,
      wantedWeek,
      obstacle,
      shippedWith: company[i]!,
      obstaclesUpToDue,
    };
  });
}

/** What keeps one unit from each of the weeks, all others staying where they are; null where it could go. */
export function obstaclesByWeek(
  problem: BookingProblem,
  bookings: Bookings,
  unit: number,
): (Obstacle | null)[] {
  const room = new Room(problem);
  bookings.forEach((booking, i) => {
    if (booking !== null && i !== unit) room.count(i, booking, 1);
  });
  return Array.from({ length: problem.weeks }, (_, week) => room.obstacle(unit, week));
}

/** The cheapest week up to the due one, the latest of equals. */
function bestWeekAlone({ units, costs }: BookingProblem, i: number, due: number): number {
  let best = due;
  for (let week = due - 1; week >= 0; week--) {
    if (bookingCost(units[i]!, week, costs) < bookingCost(units[i]!, best, costs)) best = week;
  }
  return best;
}

/** Where more units fall due by a week than can be taken in until then: the first place at which the room binds. */
export interface Shortage {
  readonly week: number;
  /** Units due by the end of that week. */
  readonly due: number;
  /** Units that all workshops together can take in until then. */
  readonly room: number;
}

/** The week by which most units are due beyond the room there is; null where capacity alone suffices. */
export function worstShortage({ units, workshops, weeks }: BookingProblem): Shortage | null {
  let due = 0;
  let room = 0;
  let worst: Shortage | null = null;
  for (let week = 0; week < weeks; week++) {
    due += units.filter((u) => Math.max(0, u.dueWeek) === week).length;
    room += workshops.reduce((sum, shop) => sum + shop.capacity[week]!, 0);
    if (due - room > (worst === null ? 0 : worst.due - worst.room)) worst = { week, due, room };
  }
  return worst;
}
