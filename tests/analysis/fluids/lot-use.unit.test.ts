import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { type FleetChecks, type Service, type UnitChecks, USE } from "../../../analysis/fleet.ts";
import type { LotCourse } from "../../../analysis/fluids/lot-course.ts";
import { unitUse } from "../../../analysis/fluids/lot-use.ts";
import { DEFAULT_TOLERANCE_RULE } from "../../../analysis/tolerance.ts";
import { type ReadingRow, unitReadings } from "../../support/unit-readings.ts";

type Row = ReadingRow & { readonly lot: number };

function unitOf(rows: readonly Row[], services: readonly Service[] = []): UnitChecks {
  return {
    instrument: "A",
    site: "S",
    modelClass: null,
    usage: null,
    services,
    nextServiceDueDay: null,
    readings: { ...unitReadings(rows), lot: Int32Array.from(rows, ({ lot }) => lot) },
  };
}

const fact = (fluidLot: string) => ({
  fluidLot,
  fluidType: null,
  temperatureCoefficient: null,
  expandedUncertainty: null,
});
const fleet: FleetChecks = {
  asOfDay: 500,
  units: [],
  lots: [fact("old"), fact("new")],
  sites: ["S"],
  geometries: [],
  operators: [],
  toleranceRule: DEFAULT_TOLERANCE_RULE,
};
/** A lot that reads 2 % high throughout: 1 % of full scale at 50 % torque, where the tolerance is 2.5. */
const high: LotCourse = { firstDay: 0, lastDay: 400, at: () => ({ error: 2, sd: 0.1 }) };

describe("unitUse", () => {
  it("tells what fails by the lot, and what passes by it", () => {
    const use = unitUse(
      unitOf([
        { day: 1, lot: 0, error: 3 }, // fails, without the lot it would pass
        { day: 2, lot: 0, error: 4 }, // fails either way
        { day: 3, lot: 0, error: -2 }, // passes, without the lot it would fail
        { day: 4, lot: 0, error: 0.5 },
      ]),
      fleet,
      [high, null],
    ).get(0)!;
    assert.deepEqual(use, {
      checks: 4,
      firstDay: 1,
      lastDay: 4,
      meanDay: 2.5,
      failed: 2,
      failedByLot: 1,
      passedByLot: 1,
      sideBySide: false,
    });
  });

  it("counts a check once however many readings it has, and leaves out what is only shown or too weak to judge", () => {
    const use = unitUse(
      unitOf([
        { day: 1, check: 0, lot: 0, torque: 20, error: 3 },
        { day: 1, check: 0, lot: 0, torque: 85, error: 0 },
        { day: 2, check: 1, lot: 0, torque: 6, error: 9 },
        { day: 3, check: 2, lot: 0, error: 9, use: USE.shownOnly },
      ]),
      fleet,
      [null, null],
    ).get(0)!;
    assert.deepEqual([use.checks, use.failed, use.failedByLot], [1, 1, 0]);
  });

  it("finds lots side by side within a month in one life, and not across an adjustment or a longer time", () => {
    const together = (days: readonly [number, number], services: readonly Service[] = []) =>
      [
        ...unitUse(
          unitOf(
            [
              { day: days[0], lot: 0 },
              { day: days[1], lot: 1 },
            ],
            services,
          ),
          fleet,
          [null, null],
        ).values(),
      ].map(({ sideBySide }) => sideBySide);
    assert.deepEqual(together([10, 40]), [true, true]);
    assert.deepEqual(together([10, 42]), [false, false]);
    assert.deepEqual(together([10, 40], [{ day: 20, action: "adjusted" }]), [false, false]);
    assert.deepEqual(together([10, 40], [{ day: 20, action: "inspected" }]), [true, true]);
  });

  it("knows nothing of checks without a lot", () => {
    assert.equal(unitUse(unitOf([{ day: 1, lot: -1 }]), fleet, []).size, 0);
  });
});
