import type { BinaryProgram, Link, SumRow } from "./binary-model.ts";
import {
  type Booking,
  type BookingProblem,
  type Bookings,
  type BookingUnit,
  bookingCost,
  canServe,
  weeksLate,
} from "./bookings.ts";

/** Columns: each unit's possible bookings, then shipments, then units left without a booking. */
export interface BookingProgram extends BinaryProgram {
  /** Weeks late of each column; one without a booking counts as later than any. */
  readonly lateness: readonly number[];
  readonly read: (chosen: Uint8Array) => Bookings;
}

/**
 * The problem as a binary program.
 *
 * @param allowLate Whether a unit may also go after its due date, or not at all.
 * @remarks
 * min sum x [costs of the booking] + shipment cost x sum z, subject to: each unit once; no more a week than a workshop
 * takes; no more of a rule's units away at once than it allows; x <= z of its shipment. What is fixed by hand stays,
 * and widens a limit that it breaks.
 */
export function bookingProgram(problem: BookingProblem, allowLate: boolean): BookingProgram {
  const { units, workshops, weeks, costs, cover, turnaroundWeeks } = problem;
  const cost: number[] = [];
  const lateness: number[] = [];
  const bookings: { readonly unit: number; readonly booking: Booking }[] = [];
  const columnsOf: number[][] = [];
  const column = (price: number, late: number): number => {
    lateness.push(late);
    return cost.push(price) - 1;
  };

  units.forEach((unit, i) => {
    const own: number[] = [];
    const mayBeLate = allowLate || unit.fixedWeek !== null;
    const last = mayBeLate ? weeks - 1 : Math.min(weeks - 1, Math.max(0, unit.dueWeek));
    for (let week = 0; week <= last; week++) {
      if (unit.fixedWeek !== null && unit.fixedWeek !== week) continue;
      for (const workshop of workshopsFor(problem, unit, week)) {
        bookings.push({ unit: i, booking: { week, workshop } });
        own.push(column(bookingCost(unit, week, costs), weeksLate(unit, week)));
      }
    }
    columnsOf.push(own);
  });

  const byPlace = new Map<string, number[]>();
  const bySender = new Map<string, number[]>();
  bookings.forEach(({ unit, booking: { week, workshop } }, c) => {
    group(byPlace, `${workshop} ${week}`, c);
    if (units[unit]!.site !== null) group(bySender, `${workshop} ${week} ${units[unit]!.site}`, c);
  });

  const rows: SumRow[] = [];
  const atMost = (columns: readonly number[], limit: number) => {
    const fixed = new Set(columns.map((c) => bookings[c]!.unit).filter((i) => units[i]!.fixedWeek !== null));
    if (columns.length > limit) {
      rows.push({ columns, lower: Number.NEGATIVE_INFINITY, upper: Math.max(limit, fixed.size) });
    }
  };
  for (const columns of byPlace.values()) {
    const { week, workshop } = bookings[columns[0]!]!.booking;
    atMost(columns, workshops[workshop]!.capacity[week]!);
  }
  for (const { units: members, awayAtOnce } of cover) {
    const away = Array.from({ length: weeks }, (): number[] => []);
    for (const i of members) {
      for (const c of columnsOf[i]!) {
        const from = bookings[c]!.booking.week;
        for (let w = from; w < Math.min(weeks, from + turnaroundWeeks); w++) away[w]!.push(c);
      }
    }
    for (const columns of away) atMost(columns, awayAtOnce);
  }

  const links: Link[] = [];
  if (costs.shipment > 0) {
    for (const columns of bySender.values()) {
      const shipment = column(costs.shipment, 0);
      rows.push({
        columns: [...columns, shipment],
        factors: [...columns.map(() => 1), -columns.length],
        lower: Number.NEGATIVE_INFINITY,
        upper: 0,
      });
      for (const c of columns) links.push({ column: c, opener: shipment });
    }
  }
  // A sender that no shipment stands for (no site) is charged with its own.
  bookings.forEach(({ unit }, c) => {
    if (units[unit]!.site === null) cost[c]! += costs.shipment;
  });

  units.forEach((_, i) => {
    const own = columnsOf[i]!;
    const columns = allowLate ? [...own, column(0, weeks + 1)] : own;
    rows.push({ columns, lower: 1, upper: 1 });
  });

  return {
    cost,
    rows,
    links,
    lateness,
    read: (chosen) =>
      columnsOf.map((own) => {
        const c = own.find((candidate) => chosen[candidate] === 1);
        return c === undefined ? null : bookings[c]!.booking;
      }),
  };
}

/** Workshops that could take a unit in a week; what is fixed by hand goes to the first, open or not. */
function workshopsFor({ workshops }: BookingProblem, unit: BookingUnit, week: number): number[] {
  const able = workshops.flatMap((shop, k) => (canServe(shop, unit) ? [k] : []));
  const open = able.filter((k) => workshops[k]!.capacity[week]! > 0);
  return unit.fixedWeek === null ? open : (open.length > 0 ? open : able).slice(0, 1);
}

function group(groups: Map<string, number[]>, key: string, column: number): void {
  const columns = groups.get(key);
  if (columns) columns.push(column);
  else groups.set(key, [column]);
}
