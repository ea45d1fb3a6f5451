import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { bookInOrder, dueDateOrder } from "../../../analysis/planning/book-in-order.ts";
import { bookingReasons, worstShortage } from "../../../analysis/planning/booking-reasons.ts";
import {
  type BookingProblem,
  type BookingUnit,
  expectedDaysOut,
} from "../../../analysis/planning/bookings.ts";
import { planOutcome } from "../../../analysis/planning/plan-outcome.ts";

const unit = (instrument: string, dueWeek: number, outBy: readonly number[] = [0, 0, 0, 0]): BookingUnit => ({
  instrument,
  site: "north",
  dueWeek,
  criticality: 1,
  outBy,
  fixedWeek: null,
  skill: null,
});

const problem = (
  units: readonly BookingUnit[],
  capacity: readonly number[],
  awayAtOnce = 9,
): BookingProblem => ({
  weeks: 4,
  units,
  workshops: [{ name: "workshop", capacity, skills: null }],
  cover: [{ kind: "site", site: "north", geometry: null, units: units.map((_, i) => i), awayAtOnce }],
  turnaroundWeeks: 2,
  costs: { outAtReturn: 100, weekOut: 0, weekEarly: 3, weekLate: 40, shipment: 0 },
});

describe("bookInOrder", () => {
  it("takes the due week, else the nearest before it with room, else the first after", () => {
    const given = problem([unit("A", 2), unit("B", 2), unit("C", 2), unit("D", 2)], [0, 1, 1, 1]);
    assert.deepEqual(
      bookInOrder(given, dueDateOrder(given)).map((booking) => booking?.week),
      [2, 1, 3, undefined],
    );
  });
});

describe("bookingReasons", () => {
  it("names the full week that a unit would rather have had", () => {
    const risky = [0, 0.1, 0.5, 0.9];
    const given = problem([unit("A", 3, risky), unit("B", 3, risky)], [1, 1, 1, 1]);
    const [a, b] = bookingReasons(given, [
      { week: 0, workshop: 0 },
      { week: 1, workshop: 0 },
    ]);
    assert.equal(a!.obstacle, null);
    assert.deepEqual(b!.obstacle, { kind: "full", week: 0, capacity: 1 });
    assert.equal(b!.riskAtDue, 0.9);
    assert.equal(b!.riskAtReturn, 0.1);
    assert.equal(b!.weeksEarly, 2);
  });

  it("names the site's cover, in the week in which it binds", () => {
    const given = problem([unit("A", 1), unit("B", 1)], [2, 2, 2, 2], 1);
    const reasons = bookingReasons(given, [{ week: 1, workshop: 0 }, null]);
    const kinds = reasons[1]!.obstaclesUpToDue.map((o) => o.kind);
    // Away for two weeks from week 0 it would meet A in week 1.
    assert.deepEqual(kinds, ["site", "site"]);
  });
});

describe("worstShortage", () => {
  it("tells the week by which most units are due beyond the room", () => {
    const units = [unit("A", 0), unit("B", 1), unit("C", 1), unit("D", 3)];
    assert.deepEqual(worstShortage(problem(units, [1, 1, 0, 1])), { week: 1, due: 3, room: 2 });
    assert.equal(worstShortage(problem(units, [2, 2, 0, 1])), null);
  });
});

describe("expectedDaysOut and planOutcome", () => {
  it("add the area under the risk up to the week of leaving", () => {
    // Trapezia of one week each: 7 x (0.1 / 2) + 7 x (0.6 / 2).
    assert.ok(Math.abs(expectedDaysOut(unit("A", 3, [0, 0.1, 0.5, 0.9]), 2) - 2.45) < 1e-12);
  });

  it("count a unit without a booking as used to the end", () => {
    const given = problem([unit("A", 1, [1, 1, 1, 1]), unit("B", 3)], [1, 1, 1, 1]);
    const outcome = planOutcome(given, [null, { week: 1, workshop: 0 }]);
    assert.equal(outcome.daysOut, 21);
    assert.equal(outcome.unplaced, 1);
    assert.equal(outcome.weeksEarly, 2);
    assert.equal(outcome.outAtReturn, 1);
  });
});
