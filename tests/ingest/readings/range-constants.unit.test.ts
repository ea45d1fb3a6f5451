import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { RangeConstants } from "../../../ingest/readings/range-constants.ts";

function learned(constants: readonly number[], geometry = "cup-A") {
  const ranges = new RangeConstants();
  for (const [i, constant] of constants.entries()) ranges.learn("U-1", geometry, constant, i);
  return ranges.known("U-1", geometry);
}

describe("RangeConstants", () => {
  it("believes what most checks agree on, wherever the wrong ones stand", () => {
    assert.deepEqual(learned([150, 100, 100, 100.2, 100, 99.9, 115]), [100]);
  });

  it("knows nothing from fewer than three checks (five without a geometry), or from checks that do not agree", () => {
    assert.deepEqual(learned([100, 100]), []);
    assert.deepEqual(learned([100, 100, 100]), [100]);
    assert.deepEqual(learned([100, 100, 100, 100], ""), []);
    assert.deepEqual(learned([100, 100, 100, 200, 300, 400]), []);
    assert.deepEqual(learned([100, 200, 300, 400, 500, 600]), []);
    assert.deepEqual(new RangeConstants().known("U-1", "cup-A"), []);
  });

  it("counts the readings of one check once", () => {
    const ranges = new RangeConstants();
    for (let i = 0; i < 9; i++) ranges.learn("U-1", "", 100, 7);
    assert.deepEqual(ranges.known("U-1", ""), []);
  });

  it("allows for several geometries where none is recorded", () => {
    const two = [...Array<number>(6).fill(100), ...Array<number>(5).fill(300)];
    assert.deepEqual(learned(two, ""), [100, 300]);
    assert.deepEqual(learned(two, "cup-A"), [100]);
  });

  it("adds what is stored", () => {
    const ranges = new RangeConstants();
    ranges.learn("U-1", "cup-A", 100, 0);
    ranges.learnStored("U-1", [{ geometry: "cup-A", constant: 100.1, checks: 2 }]);
    assert.deepEqual(ranges.known("U-1", "cup-A"), [100]);
  });
});
