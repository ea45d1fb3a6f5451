import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { chartDesign, knowDesigns } from "../../../analysis/watch/design.ts";

describe("designs solved by another thread", () => {
  it("are taken over, each for its run length and share of stray checks", () => {
    const design = { ...chartDesign(400), runLength: 430, level: 2.9, clip: 2.8 };
    knowDesigns([{ strayShare: 0.02, design }]);
    assert.equal(chartDesign(430, 0.02), design);
    assert.equal(chartDesign(430, 0.02, 1.5).level, 1.5 * 2.8);
    assert.notEqual(chartDesign(430).clip, 2.8);
  });
});
