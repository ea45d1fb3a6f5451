import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { ewmaChart, weightsByTime } from "../../../analysis/control-charts/ewma.ts";
import { ImpossibleValueError, LengthMismatchError, NonFiniteValueError } from "../../../analysis/errors.ts";
import { assertClose } from "../../support/close.ts";
import fc from "../../support/property.ts";

const design = { centre: 0, sigma: 1, weight: 0.2, limitSigma: 3, limits: "exact" } as const;

describe("ewmaChart", () => {
  it("is the chart for individual values at weight 1", () => {
    const chart = ewmaChart([2.9, -3.1], { ...design, weight: 1 });
    assert.deepEqual(
      chart.map((p) => [p.ewma, p.upper, p.beyond]),
      [
        [2.9, 3, false],
        [-3.1, 3, true],
      ],
    );
  });

  it("starts with limits of one value and widens them to the asymptotic ones", () => {
    const values = new Array<number>(200).fill(0);
    const exact = ewmaChart(values, design);
    const asymptotic = ewmaChart(values, { ...design, limits: "asymptotic" });
    assertClose(exact[0]!.upper, 3 * 0.2, 1e-15);
    assertClose(exact.at(-1)!.upper, asymptotic[0]!.upper, 1e-15);
  });

  it("takes a weight for each value, and none for no values", () => {
    assertClose(ewmaChart([1, 1], { ...design, weight: [0.5, 0.25] })[1]!.ewma, 0.625, 1e-15);
    assert.deepEqual(ewmaChart([], design), []);
  });

  it("says what is wrong", () => {
    assert.throws(() => ewmaChart([Number.NaN], design), NonFiniteValueError);
    assert.throws(() => ewmaChart([1], { ...design, sigma: 0 }), ImpossibleValueError);
    assert.throws(() => ewmaChart([1], { ...design, weight: 0 }), /weight must be above 0 to 1/);
    assert.throws(() => ewmaChart([1], { ...design, weight: [0.1, 0.2] }), LengthMismatchError);
    assert.throws(() => ewmaChart([1], { ...design, weight: [0.1], limits: "asymptotic" }), RangeError);
    assert.throws(() => ewmaChart([1], { ...design, limitSigma: 0 }), RangeError);
  });

  it("stays between the smallest and the largest of centre and values", () => {
    const value = fc.double({ min: -100, max: 100, noNaN: true });
    fc.assert(
      fc.property(fc.array(value, { minLength: 1 }), (values) => {
        const [low, high] = [Math.min(0, ...values), Math.max(0, ...values)];
        for (const { ewma } of ewmaChart(values, design))
          assert.ok(ewma >= low - 1e-9 && ewma <= high + 1e-9);
      }),
    );
  });
});

describe("weightsByTime", () => {
  it("is the same weight for even dates, and none for no dates", () => {
    for (const w of weightsByTime([0, 7, 14, 21], 0.2)) assertClose(w, 0.2, 1e-15);
    assert.equal(weightsByTime([], 0.2).length, 0);
    assert.deepEqual([...weightsByTime([3, 3, 3], 0.2)], [0.2, 0.2, 0.2]);
  });

  it("counts a value after a long gap more, a repeat less, within bounds", () => {
    const weights = weightsByTime([0, 7, 21, 21, 28, 35, 400], 0.2);
    assertClose(weights[2]!, 1 - 0.8 ** 2, 1e-15);
    assert.equal(weights[3], 0.1);
    assert.equal(weights[6], 0.4);
  });
});
