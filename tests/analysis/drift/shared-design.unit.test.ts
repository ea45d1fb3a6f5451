import assert from "node:assert/strict";
import { describe, it } from "vitest";
import {
  appendEffects,
  coefficientOf,
  designShared,
  quarterDays,
  quarterOf,
} from "../../../analysis/drift/shared-design.ts";
import type { FleetChecks, LotFacts, UnitChecks } from "../../../analysis/fleet.ts";
import { DEFAULT_TOLERANCE_RULE } from "../../../analysis/tolerance.ts";
import { unitReadings } from "../../support/unit-readings.ts";

const FIRST = 20_454; // 2026-01-01
const lot = (fluidLot: string, coefficient: number | null = -2): LotFacts => ({
  fluidLot,
  fluidType: "silicone",
  temperatureCoefficient: coefficient,
  expandedUncertainty: 0.5,
});

function fleetOf(rows: readonly { day: number; lot: number; site: number; operator: number }[]): FleetChecks {
  const readings = {
    ...unitReadings(rows),
    lot: Int32Array.from(rows, (r) => r.lot),
    site: Int32Array.from(rows, (r) => r.site),
    operator: Int32Array.from(rows, (r) => r.operator),
  };
  const unit: UnitChecks = {
    instrument: "A",
    site: "Hill",
    modelClass: null,
    usage: null,
    services: [],
    nextServiceDueDay: null,
    readings,
  };
  return {
    asOfDay: FIRST + 400,
    units: [unit],
    lots: [lot("L1"), lot("L2"), lot("unused")],
    sites: ["Hill", "Dale"],
    geometries: [],
    operators: ["one", "two"],
    toleranceRule: DEFAULT_TOLERANCE_RULE,
  };
}

const ROWS = [
  { day: FIRST + 10, lot: 0, site: 0, operator: 0 },
  { day: FIRST + 100, lot: 0, site: 0, operator: 1 },
  { day: FIRST + 200, lot: 1, site: 0, operator: 0 },
];

describe("the effects that checks share", () => {
  it("are numbered for lots, sites and quarters that checks were made with", () => {
    const design = designShared(fleetOf(ROWS), () => [0]);
    assert.deepEqual(design.keys, [
      "lot:L1",
      "lot-ageing:L1:0",
      "lot:L2",
      "lot-ageing:L2:0",
      "bath:Hill",
      `bath-quarter:Hill:${4 * 2026}`,
      `bath-quarter:Hill:${4 * 2026 + 1}`,
      `bath-quarter:Hill:${4 * 2026 + 2}`,
      "operator:one",
      "operator:two",
    ]);
  });

  it("leave operators out where a fifth of the checks does not name them", () => {
    const design = designShared(fleetOf(ROWS.map((r, i) => ({ ...r, operator: i === 0 ? 0 : -1 }))), () => [
      0,
    ]);
    assert.ok(design.keys.every((key) => !key.startsWith("operator")));
  });

  it("reach a check with a lot's level, its age in years past each knee, and the bath per kelvin", () => {
    const design = designShared(fleetOf(ROWS), (name) => (name === "L1" ? [0, 60] : [0]));
    const found: Record<string, number> = {};
    appendEffects(
      design,
      { day: FIRST + 100, lot: 0, site: 0, geometry: -1, operator: -1 },
      (effect, factor) => {
        found[design.keys[effect]!] = factor;
      },
    );
    assert.deepEqual(found, {
      "lot:L1": 1,
      "lot-ageing:L1:0": 90 / 365.25,
      "lot-ageing:L1:60": 30 / 365.25,
      "bath:Hill": -2,
      [`bath-quarter:Hill:${4 * 2026 + 1}`]: -2,
    });
  });

  it("know calendar quarters", () => {
    assert.equal(quarterOf(FIRST - 0.01), 4 * 2025 + 3);
    assert.equal(quarterOf(FIRST), 4 * 2026);
    assert.deepEqual(quarterDays(4 * 2026), [FIRST, FIRST + 89]);
  });

  it("take a lot's own temperature coefficient, else that of its kind", () => {
    assert.equal(coefficientOf(lot("L", -1.9)), -1.9);
    assert.equal(coefficientOf(lot("L", null)), -2);
    assert.equal(coefficientOf({ ...lot("L", null), fluidType: "mineral_oil" }), -7);
    assert.equal(coefficientOf({ ...lot("L", null), fluidType: null }), -2);
  });
});
