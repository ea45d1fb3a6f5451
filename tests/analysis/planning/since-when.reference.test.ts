import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { between, beyondTolerance, crossedBetween } from "../../../analysis/planning/bridge.ts";
import { againstSource } from "../../support/reference-table.ts";

/** Brownian bridge and reflection principle: A. N. Borodin and P. Salminen, Handbook of Brownian Motion (2002). */
const SOURCE = "worked by hand, Brownian bridge";

/**
 * A unit as left by its service, 0.10 (sd 0.10), and as found a year later, 2.10 (sd 0.15), tolerance 1.5, wander
 * 0.0625 a year: worked by hand from the two normal ends and the bridge between them.
 */
const AS_LEFT = { time: 0, mean: 0.1, sd: 0.1 };
const AS_FOUND = { time: 1, mean: 2.1, sd: 0.15 };
const WANDER = 0.0625;
const TOLERANCE = 1.5;

describe("between two checks a year apart", () => {
  const outAt = (time: number) => beyondTolerance(between(AS_LEFT, AS_FOUND, time, WANDER), TOLERANCE);

  for (const [time, expected, digits] of [
    [0.5, 0.005, 3],
    [0.6, 0.1, 2],
    [0.7, 0.5, 2],
    [0.8, 0.9, 2],
  ] as const) {
    it(`the unit was out after ${time} years with probability ${expected}`, () => {
      // Half a unit of the last digit printed.
      againstSource(`out after ${time} years`, SOURCE, expected, outAt(time), {
        absolute: 0.5 * 10 ** -digits,
      });
    });
  }

  it("meets both ends", () => {
    for (const end of [AS_LEFT, AS_FOUND]) {
      const at = between(AS_LEFT, AS_FOUND, end.time, WANDER);
      assert.ok(Math.abs(at.mean - end.mean) < 1e-12 && Math.abs(at.sd - end.sd) < 1e-12);
    }
  });
});

describe("a path within tolerance at both ends", () => {
  it("has been beyond 1.5 on the way from 0.6 to 1.2 with probability 0.115, wander 0.25 a year, one year", () => {
    // 0.115325: the value to six digits.
    const crossed = crossedBetween(1.5, 0.6, 1.2, 0.25, 1);
    againstSource("beyond the limit on the way", SOURCE, 0.115325, crossed, { absolute: 5e-7 });
  });

  it("has for certain where an end is beyond, and cannot where nothing wanders", () => {
    assert.equal(crossedBetween(1.5, 1.6, 1.2, 0.25, 1), 1);
    assert.equal(crossedBetween(1.5, 0.6, 1.2, 0, 1), 0);
  });
});
