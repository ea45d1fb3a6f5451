import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { budgetCost } from "../../../analysis/watch/budget-cost.ts";

describe("budgetCost", () => {
  it("takes longer to find a shift the tighter the budget and the smaller the shift", () => {
    const [tight, present, wide] = budgetCost(2000, [0.5, 1, 2]);
    assert.deepEqual([tight!.runLength, present!.runLength, wide!.runLength], [4000, 2000, 1000]);
    const checks = (cost: typeof tight) => cost!.checksToSignal.map((c) => c.checks);
    for (const [i, later] of checks(tight).entries()) {
      assert.ok(later > checks(present)[i]! && checks(present)[i]! > checks(wide)[i]!);
    }
    assert.deepEqual(
      checks(present),
      [...checks(present)].sort((a, b) => b - a),
    );
  });

  it("agrees with the delays that are known for a run length of 1000: 59, 12.5 and 4.1 checks", () => {
    // The level chart's limits are those of half the run length, as its alarms come to fewer units.
    const [cost] = budgetCost(2000, [1]);
    const expected = [59, 12.5, 4.1];
    cost!.checksToSignal.forEach(({ checks }, i) => {
      assert.ok(Math.abs(checks / expected[i]! - 1) < 0.02, String(checks));
    });
  });
});
