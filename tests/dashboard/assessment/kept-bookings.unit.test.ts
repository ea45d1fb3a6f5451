import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { standing } from "../../../dashboard/assessment/kept-bookings.ts";

const decision = (id: number, instrument: string, week: string | null, day: string) => ({
  ...{ id, instrument, week, by: "Ada", why: "so" },
  madeAtMs: Date.parse(`${day}T10:00:00Z`),
});

describe("weeks that stand for units", () => {
  it("are the last decisions by a day, without those released since", () => {
    const decisions = [
      decision(1, "U-1", "2026-W20", "2026-04-01"),
      decision(2, "U-2", "2026-W20", "2026-04-01"),
      decision(3, "U-1", "2026-W21", "2026-04-02"),
      decision(4, "U-2", null, "2026-04-03"),
    ];
    const at = (day: string) =>
      [...standing(decisions, [], day)].map(([instrument, { week }]) => `${instrument} ${week}`);
    assert.deepEqual(at("2026-03-31"), []);
    assert.deepEqual(at("2026-04-01"), ["U-1 2026-W20", "U-2 2026-W20"]);
    assert.deepEqual(at("2026-04-03"), ["U-1 2026-W21"]);
  });

  it("end when the unit has come back, and are past after their Sunday", () => {
    const decisions = [decision(1, "U-1", "2026-W20", "2026-04-01")];
    const serviced = (servicedAt: string) => [{ instrument: "U-1", servicedAt, action: "adjusted" as const }];
    assert.equal(standing(decisions, serviced("2026-04-01"), "2026-06-01").size, 1);
    assert.equal(standing(decisions, serviced("2026-05-12"), "2026-06-01").size, 0);
    assert.equal(standing(decisions, serviced("2026-05-12"), "2026-05-11").size, 1);
    // Week 20 of 2026 is 11 to 17 May.
    assert.equal(standing(decisions, [], "2026-05-17").get("U-1")!.isPast, false);
    assert.equal(standing(decisions, [], "2026-05-18").get("U-1")!.isPast, true);
  });
});
