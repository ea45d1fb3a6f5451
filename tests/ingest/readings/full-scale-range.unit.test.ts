import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { rangeConstant } from "../../../ingest/readings/full-scale-range.ts";

const standard = {
  geometry: "g",
  bobRadiusMm: 12.5,
  cupRadiusMm: 12.5 * 1.0847,
  bobLengthMm: 37.5,
  endFactor: 1.1,
};

describe("rangeConstant", () => {
  it("agrees with the constants of the standard geometry", () => {
    // 0.04461 / (1.2908 Ri^3), the familiar constants for radius ratio 1.0847, L = 3 Ri, end factor 1.10, each
    // rounded to 4 or 5 digits: 2e-4 covers the rounding.
    const familiar = (0.04461 / (1.2908 * 0.0125 ** 3)) * 900e-6 * 1000;
    assert.ok(Math.abs(rangeConstant(900, standard)! / familiar - 1) < 2e-4);
    assert.ok(Math.abs(rangeConstant(900, standard)! / 60 - 265.4) < 0.05);
  });

  it("is null where a measure is missing, or the cup is not wider than the bob", () => {
    assert.equal(rangeConstant(null, standard), null);
    assert.equal(rangeConstant(900, undefined), null);
    for (const measure of ["bobRadiusMm", "cupRadiusMm", "bobLengthMm", "endFactor"]) {
      assert.equal(rangeConstant(900, { ...standard, [measure]: null }), null, measure);
    }
    assert.equal(rangeConstant(900, { ...standard, cupRadiusMm: 12.5 }), null);
  });
});
