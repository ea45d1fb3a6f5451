import assert from "node:assert/strict";

import { describe, it } from "vitest";
import {
  type Booking,
  type BookingProblem,
  type BookingUnit,
  planCost,
  type Workshop,
  weeksLate,
} from "../../../analysis/planning/bookings.ts";
import { solveBookings } from "../../../analysis/planning/solve-bookings.ts";
import { loadSolver } from "../../../analysis/planning/solver.ts";
import fc from "../../support/property.ts";

const highs = await loadSolver();

const WEEKS = 4;
const SITES = ["north", "south"];

const unit = fc.record({
  site: fc.constantFrom(...SITES, null),
  dueWeek: fc.integer({ min: -1, max: WEEKS + 1 }),
  criticality: fc.constantFrom(1, 2),
  // Rising in steps of 1/50, so that two plans cost the same or differ by far more than rounding.
  rises: fc.array(fc.integer({ min: 0, max: 12 }), { minLength: WEEKS, maxLength: WEEKS }),
  fixedWeek: fc.option(fc.integer({ min: 0, max: WEEKS - 1 }), { freq: 6 }),
  skill: fc.constantFrom(null, null, "repair"),
});

const problem: fc.Arbitrary<BookingProblem> = fc
  .record({
    drawn: fc.array(unit, { minLength: 1, maxLength: 5 }),
    capacity: fc.array(fc.array(fc.integer({ min: 0, max: 2 }), { minLength: WEEKS, maxLength: WEEKS }), {
      minLength: 1,
      maxLength: 2,
    }),
    awayAtOnce: fc.integer({ min: 1, max: 2 }),
    turnaroundWeeks: fc.integer({ min: 1, max: 2 }),
    shipment: fc.constantFrom(0, 5),
    weekOut: fc.constantFrom(0, 10),
  })
  .map(({ drawn, capacity, awayAtOnce, turnaroundWeeks, shipment, weekOut }) => {
    const units = drawn.map(({ rises, ...rest }, i): BookingUnit => {
      let sum = 0;
      const outBy = rises.map((rise) => {
        sum += rise;
        return sum / 50;
      });
      return { ...rest, instrument: `U-${i}`, outBy };
    });
    return {
      weeks: WEEKS,
      units,
      workshops: capacity.map((weeks, k) => ({
        name: `shop ${k}`,
        capacity: weeks,
        skills: k === 0 ? null : ["adjust"],
      })),
      cover: SITES.map((site) => ({
        kind: "site" as const,
        site,
        geometry: null,
        units: units.flatMap((u, i) => (u.site === site ? [i] : [])),
        awayAtOnce,
      })),
      turnaroundWeeks,
      costs: { outAtReturn: 100, weekOut, weekEarly: 3, weekLate: 40, shipment },
    };
  });

describe("solveBookings, for any small problem", () => {
  it("is as little late and as cheap as the best of all plans, tried one by one", () => {
    fc.assert(
      fc.property(problem, (given) => {
        const plan = solveBookings(highs, given);
        const best = bestOfAll(given);
        const late = latenessOf(given, plan.bookings);
        assert.equal(late, best.late);
        assert.ok(Math.abs(plan.cost - best.cost) < 1e-6, `${plan.cost}, by trying all ${best.cost}`);
        assert.equal(plan.gap, 0);
        assert.ok(isAllowed(given, plan.bookings));
      }),
      { numRuns: 60 },
    );
  });
});

type Plan = readonly (Booking | null)[];

function bestOfAll(given: BookingProblem): { late: number; cost: number } {
  let best = { late: Number.POSITIVE_INFINITY, cost: Number.POSITIVE_INFINITY };
  const choose = (chosen: (Booking | null)[]) => {
    if (chosen.length < given.units.length) {
      for (let workshop = 0; workshop < given.workshops.length; workshop++) {
        for (let week = 0; week < given.weeks; week++) choose([...chosen, { week, workshop }]);
      }
      choose([...chosen, null]);
      return;
    }
    const late = latenessOf(given, chosen);
    if (late > best.late || !isAllowed(given, chosen)) return;
    const cost = planCost(given, chosen);
    if (late < best.late || cost < best.cost) best = { late, cost };
  };
  choose([]);
  return best;
}

function latenessOf(given: BookingProblem, plan: Plan): number {
  return plan.reduce(
    (sum, booking, i) =>
      sum + (booking === null ? given.weeks + 1 : weeksLate(given.units[i]!, booking.week)),
    0,
  );
}

/** Every rule written out once more, in the plainest way. */
function isAllowed({ units, workshops, cover, weeks, turnaroundWeeks }: BookingProblem, plan: Plan): boolean {
  const goes = (i: number, week: number) => plan[i]?.week === week;
  const isAway = (i: number, week: number) => {
    const left = plan[i]?.week;
    return left !== undefined && left <= week && week < left + turnaroundWeeks;
  };
  for (const [i, unit] of units.entries()) {
    const booking = plan[i]!;
    if (booking === null) continue;
    const shop = workshops[booking.workshop]!;
    if (!canGo(unit, shop)) return false;
    if (unit.fixedWeek === null) {
      if (shop.capacity[booking.week] === 0) return false;
    } else if (booking.week !== unit.fixedWeek || booking.workshop !== firstFor(unit, workshops))
      return false;
  }
  for (let week = 0; week < weeks; week++) {
    for (const [k, shop] of workshops.entries()) {
      const taken = units.flatMap((u, i) => (goes(i, week) && plan[i]!.workshop === k ? [u] : []));
      const limit = Math.max(
        shop.capacity[week]!,
        fixedWithin(units, week, 1, (u) => firstFor(u, workshops) === k),
      );
      if (taken.length > limit) return false;
    }
    for (const rule of cover) {
      const away = rule.units.filter((i) => isAway(i, week)).length;
      const members = new Set(rule.units.map((i) => units[i]!));
      const limit = Math.max(
        rule.awayAtOnce,
        fixedWithin(units, week, turnaroundWeeks, (u) => members.has(u)),
      );
      if (away > limit) return false;
    }
  }
  return true;
}

function canGo({ skill }: BookingUnit, { skills }: Workshop): boolean {
  return skill === null || skills === null || skills.includes(skill);
}

/** A unit fixed by hand goes to the first workshop that is open to it that week, else to the first that could take it. */
function firstFor(unit: BookingUnit, workshops: readonly Workshop[]): number {
  const open = workshops.findIndex((shop) => canGo(unit, shop) && shop.capacity[unit.fixedWeek!]! > 0);
  return open >= 0 ? open : workshops.findIndex((shop) => canGo(unit, shop));
}

/** Units fixed by hand that would be there in a week: what was fixed may go beyond a limit. */
function fixedWithin(
  units: readonly BookingUnit[],
  week: number,
  stay: number,
  counts: (unit: BookingUnit) => boolean,
): number {
  return units.filter(
    (u) => u.fixedWeek !== null && u.fixedWeek <= week && week < u.fixedWeek + stay && counts(u),
  ).length;
}
