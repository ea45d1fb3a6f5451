/**
 * The booking problem: each unit one week between now and its due date.
 *
 * Weeks count from the first that can be booked: 0, 1, 2 … A unit leaves its site at the start of its week.
 */

/** What a plan is charged with. Unit: percent of risk of one unit, so that all can be weighed. */
export interface BookingCosts {
  /** A unit that is out of tolerance when it leaves. */
  readonly outAtReturn: number;
  /** Each week that a unit is used out of tolerance before it leaves. */
  readonly weekOut: number;
  /** Each week of interval given away. */
  readonly weekEarly: number;
  /** Each week past the due date. */
  readonly weekLate: number;
  /** Each shipment from a site to a workshop. */
  readonly shipment: number;
}

export interface BookingUnit {
  readonly instrument: string;
  readonly site: string | null;
  /** Week that holds its due date; below 0 where that is past. */
  readonly dueWeek: number;
  /** Weighs what it costs to have this unit out of tolerance; 1 for an ordinary one. */
  readonly criticality: number;
  /** Probability to have left tolerance by the start of each week, never falling. Shape: weeks of the problem. */
  readonly outBy: ArrayLike<number>;
  /** Booked by hand for this week; null: free. */
  readonly fixedWeek: number | null;
  /** What a workshop must be able to do for it; null: any can. */
  readonly skill: string | null;
}

export interface Workshop {
  readonly name: string;
  /** Units it takes in, by week; 0 where it is closed. Shape: weeks of the problem. */
  readonly capacity: readonly number[];
  /** null: it can do everything. */
  readonly skills: readonly string[] | null;
}

/** Of some units of a site, so many may be away at once. */
export interface CoverRule {
  readonly kind: "site" | "geometry";
  readonly site: string;
  /** For a rule of kind "geometry": which. */
  readonly geometry: string | null;
  /** Indices into the problem's units. */
  readonly units: readonly number[];
  readonly awayAtOnce: number;
}

export interface BookingProblem {
  readonly weeks: number;
  readonly units: readonly BookingUnit[];
  readonly workshops: readonly Workshop[];
  readonly cover: readonly CoverRule[];
  /** Weeks that a unit is away, the one in which it leaves included; at least 1. */
  readonly turnaroundWeeks: number;
  readonly costs: BookingCosts;
}

/** Where a unit is booked. */
export interface Booking {
  readonly week: number;
  /** Index into the problem's workshops. */
  readonly workshop: number;
}

/** Per unit of the problem; null where there is no room for it within the weeks. */
export type Bookings = readonly (Booking | null)[];

/** Whether the workshop can serve the unit at all. */
export function canServe(workshop: Workshop, unit: BookingUnit): boolean {
  return unit.skill === null || workshop.skills === null || workshop.skills.includes(unit.skill);
}

/** Weeks past the due date; a unit that is overdue already counts from week 0. */
export function weeksLate(unit: BookingUnit, week: number): number {
  return Math.max(0, week - Math.max(0, unit.dueWeek));
}

/**
 * Expected days out of tolerance, in use, before a unit leaves at the start of a week.
 *
 * @remarks Counted from the day on which it first leaves tolerance; trapezium rule over the weeks.
 */
export function expectedDaysOut({ outBy }: BookingUnit, week: number): number {
  let days = 0;
  for (let w = 0; w < week; w++) days += 3.5 * (outBy[w]! + outBy[w + 1]!);
  return days;
}

/** What it costs to book one unit for one week, shipments left out. */
export function bookingCost(unit: BookingUnit, week: number, costs: BookingCosts): number {
  const risk = costs.outAtReturn * unit.outBy[week]! + (costs.weekOut / 7) * expectedDaysOut(unit, week);
  const early = costs.weekEarly * Math.max(0, unit.dueWeek - week);
  return unit.criticality * risk + early + costs.weekLate * weeksLate(unit, week);
}

/** Shipments of a plan: units of one site that go to one workshop in one week travel together. */
export function shipmentsOf(problem: BookingProblem, bookings: Bookings): Map<string, number[]> {
  const shipments = new Map<string, number[]>();
  bookings.forEach((booking, i) => {
    if (booking === null) return;
    const key = JSON.stringify([problem.units[i]!.site ?? i, booking.week, booking.workshop]);
    const units = shipments.get(key);
    if (units) units.push(i);
    else shipments.set(key, [i]);
  });
  return shipments;
}

/** What a whole plan costs; units without a booking are left out. */
export function planCost(problem: BookingProblem, bookings: Bookings): number {
  const { costs, units } = problem;
  let sum = costs.shipment * shipmentsOf(problem, bookings).size;
  bookings.forEach((booking, i) => {
    if (booking !== null) sum += bookingCost(units[i]!, booking.week, costs);
  });
  return sum;
}
