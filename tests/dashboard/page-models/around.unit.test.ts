import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { dayOfIso } from "../../../dashboard/assessment/days.ts";
import type { UnitReading } from "../../../dashboard/assessment/views.ts";
import { happenedBetween } from "../../../dashboard/page-models/around.ts";
import { happenedText } from "../../../dashboard/wording/watch.ts";

const reading = (day: number, with_: Partial<UnitReading> = {}) =>
  ({ day, fluidLot: "L-1", geometry: "cup-A", operator: "KT", site: "North", ...with_ }) as UnitReading;

const day = dayOfIso("2026-02-03");

describe("what happened between two checks", () => {
  it("is what the later check had about it that the earlier had not", () => {
    const readings = [reading(day - 9), reading(day - 7), reading(day, { fluidLot: "L-2", operator: "MW" })];
    const happened = happenedBetween({ readings, services: [] }, day - 7, day);
    assert.deepEqual(happened, [
      { what: "lot", name: "L-2" },
      { what: "operator", name: "MW" },
    ]);
    assert.equal(happenedText(happened), "In the same days came fluid lot L-2 and operator MW.");
  });

  it("names a service between them, and nothing that was not recorded", () => {
    const services = [
      { instrument: "1", servicedAt: "2026-01-30", action: "inspected" as const },
      { instrument: "1", servicedAt: "2026-01-02", action: "adjusted" as const },
    ];
    const readings = [reading(day - 7), reading(day, { fluidLot: null })];
    assert.deepEqual(happenedBetween({ readings, services }, day - 7, day), [
      { what: "service", name: "inspected" },
    ]);
    assert.equal(happenedText([]), null);
  });
});
