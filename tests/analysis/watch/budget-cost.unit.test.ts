import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { type BudgetCost, budgetCost } from "../../../analysis/watch/budget-cost.ts";

const BUDGET = { falseAlarmsPerMonth: 2, streams: 1000, runLength: 2000 };
const checks = ({ delays }: BudgetCost) => delays.map((delay) => delay.checks);

describe("budgetCost", () => {
  it("takes longer to find a shift or a drift the tighter the budget and the smaller the shift", () => {
    const [tight, present, wide] = budgetCost(BUDGET, [0.5, 1, 2]);
    assert.deepEqual([tight!.runLength, present!.runLength, wide!.runLength], [4000, 2000, 1000]);
    assert.deepEqual(
      [tight, present, wide].map((cost) => cost!.falseAlarmsPerMonth),
      [1, 2, 4],
    );
    for (const [i, later] of checks(tight!).entries()) {
      assert.ok(later > checks(present!)[i]! && checks(present!)[i]! > checks(wide!)[i]!);
    }
    const shifts = checks(present!).slice(0, 3);
    assert.deepEqual(
      shifts,
      [...shifts].sort((a, b) => b - a),
    );
  });

  it("agrees with the delays that are known for a run length of 1000: 59, 12.5 and 4.1 checks", () => {
    // Level charts have the budget of the step charts too, so half the run length: 1,013 checks.
    const [cost] = budgetCost(BUDGET, [1]);
    for (const [i, expected] of [59, 12.5, 4.1].entries()) {
      assert.ok(Math.abs(checks(cost!)[i]! / expected - 1) < 0.02, String(checks(cost!)));
    }
  });

  it("says what that is in months, at the rate of checks that the budget stands for", () => {
    // 2 alarms a month at one in 2000 are 4000 values, four a chart.
    for (const delay of budgetCost(BUDGET, [1])[0]!.delays) assert.equal(delay.months, delay.checks / 4);
  });

  it("names no budget that a fleet cannot have: under one, over ten, or one in fewer than a hundred checks", () => {
    const alarms = (budget: typeof BUDGET, factors: number[]) =>
      budgetCost(budget, factors).map(({ falseAlarmsPerMonth }) => falseAlarmsPerMonth);
    assert.deepEqual(alarms(BUDGET, [0.1, 0.5, 1, 5, 20]), [1, 2, 10]);
    assert.deepEqual(
      alarms({ falseAlarmsPerMonth: 1, streams: 100, runLength: 200 }, [0.5, 1, 2, 4]),
      [1, 2],
    );
    assert.deepEqual(alarms({ falseAlarmsPerMonth: 0.4, streams: 14, runLength: 100 }, [0.5, 1, 2]), [0.4]);
  });
});
