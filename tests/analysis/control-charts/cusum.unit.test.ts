import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { cusumChart } from "../../../analysis/control-charts/cusum.ts";
import { ImpossibleValueError, NonFiniteValueError } from "../../../analysis/errors.ts";
import { assertClose } from "../../support/close.ts";
import fc from "../../support/property.ts";

const design = { target: 0, allowance: 0.5, decisionInterval: 4 };

describe("cusumChart", () => {
  it("dates a shift to its first value and gives its size back", () => {
    const { signals } = cusumChart([0, 0, 0, 2, 2, 2, 2, 2], design);
    assert.deepEqual(signals, [{ side: "up", at: 5, shiftFrom: 3, shift: 2 }]);
  });

  it("finds a shift down with its sign, and lists a second run by itself", () => {
    const { signals } = cusumChart([-3, -3, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, -3, -3], design);
    assert.deepEqual(
      signals.map((s) => [s.side, s.at, s.shiftFrom, s.shift]),
      [
        ["down", 1, 0, -3],
        ["down", 13, 12, -3],
      ],
    );
  });

  it("signals sooner with a head start, which is no part of the size", () => {
    const { signals } = cusumChart([1.5, 1.5, 1.5], { ...design, headStart: 2 });
    assert.equal(signals[0]?.at, 2);
    assertClose(signals[0].shift, 1.5, 1e-15);
    assert.equal(cusumChart([1.5, 1.5, 1.5], design).signals.length, 0);
  });

  it("stays at 0 for a constant series on target, and takes no values", () => {
    assert.deepEqual([...cusumChart([0, 0, 0], design).up], [0, 0, 0]);
    assert.deepEqual(cusumChart([], design).signals, []);
  });

  it("says what is wrong", () => {
    assert.throws(() => cusumChart([Number.NaN], design), NonFiniteValueError);
    assert.throws(() => cusumChart([1], { ...design, target: Number.NaN }), NonFiniteValueError);
    assert.throws(() => cusumChart([1], { ...design, allowance: -1 }), ImpossibleValueError);
    assert.throws(() => cusumChart([1], { ...design, headStart: -1 }), ImpossibleValueError);
    assert.throws(
      () => cusumChart([1], { ...design, decisionInterval: 0 }),
      /decision interval must be above 0/,
    );
  });

  it("exchanges its sides when the series is turned over, and is never negative", () => {
    const values = fc.array(fc.integer({ min: -40, max: 40 }).map((v) => v / 8));
    fc.assert(
      fc.property(values, (series) => {
        const chart = cusumChart(series, design);
        const turned = cusumChart(
          series.map((v) => -v),
          design,
        );
        assert.deepEqual(chart.up, turned.down);
        assert.ok(chart.up.every((sum) => sum >= 0));
        assert.ok(chart.signals.every((s) => s.shiftFrom <= s.at && Math.abs(s.shift) > design.allowance));
      }),
    );
  });
});
