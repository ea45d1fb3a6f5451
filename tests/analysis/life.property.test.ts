import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { STAGES } from "../../analysis/fleet.ts";
import { cutLives } from "../../analysis/life.ts";
import fc from "../support/property.ts";
import { unitReadings } from "../support/unit-readings.ts";

const row = fc.record({
  day: fc.double({ min: 0, max: 40, noNaN: true }),
  stage: fc.constantFrom(...STAGES),
});
const service = fc.record({
  day: fc.integer({ min: 0, max: 40 }),
  action: fc.constantFrom("adjusted", "repaired", "inspected"),
});

describe("cutLives, for any checks and services", () => {
  it("gives every reading one life, in order, no further than a day outside it", () => {
    fc.assert(
      fc.property(fc.array(row), fc.array(service), (rows, services) => {
        const sorted = [...rows].sort((a, b) => a.day - b.day);
        const lives = cutLives(unitReadings(sorted), services);
        const seen = lives.flatMap((life) => [...life.readings]);
        assert.deepEqual(
          [...seen].sort((a, b) => a - b),
          [...sorted.keys()],
        );
        for (const { fromDay, toDay, readings } of lives) {
          for (const i of readings) {
            const day = Math.floor(sorted[i]!.day);
            assert.ok(day >= (fromDay ?? 0) - 1 && day <= (toDay ?? 40) + 1);
          }
        }
      }),
    );
  });
});
