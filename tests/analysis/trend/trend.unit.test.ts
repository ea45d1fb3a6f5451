import assert from "node:assert/strict";
import { describe, it } from "vitest";
import {
  LengthMismatchError,
  NonFiniteValueError,
  SingularDesignError,
  TooFewPointsError,
} from "../../../analysis/errors.ts";
import { mannKendall } from "../../../analysis/trend/mann-kendall.ts";
import { theilSen } from "../../../analysis/trend/theil-sen.ts";
import { assertClose } from "../../support/close.ts";
import fc from "../../support/property.ts";

describe("theilSen", () => {
  it("is not pulled away by one huge outlier", () => {
    const x = [0, 1, 2, 3, 4, 5, 6];
    const y = x.map((value) => 2 * value + 1);
    y[6] = 1e9;
    const { slope, intercept } = theilSen(x, y);
    assert.deepEqual([slope, intercept], [2, 1]);
  });

  it("takes two points, without limits for the slope, and equal values", () => {
    assert.deepEqual(theilSen([0, 2], [1, 5]), {
      slope: 2,
      intercept: 1,
      lower: null,
      upper: null,
      pairs: 1,
    });
    const level = theilSen([0, 1, 2, 3], [7, 7, 7, 7]);
    assert.deepEqual([level.slope, level.intercept], [0, 7]);
  });

  it("says what it cannot take", () => {
    assert.throws(() => theilSen([1], [1]), TooFewPointsError);
    assert.throws(() => theilSen([1, 1, 1], [1, 2, 3]), SingularDesignError);
    assert.throws(() => theilSen([1, 2], [1]), LengthMismatchError);
    assert.throws(() => theilSen([1, 2], [1, Number.NaN]), NonFiniteValueError);
  });
});

describe("mannKendall", () => {
  it("is sure of a rise without exception, and of nothing when all are tied", () => {
    const rise = mannKendall([1, 2, 3, 4], [1, 2, 3, 4]);
    assert.deepEqual([rise.s, rise.tau, rise.method], [6, 1, "exact"]);
    assertClose(rise.p, 2 / 24, 1e-15);
    const tied = mannKendall([1, 2, 3, 4], [5, 5, 5, 5]);
    assert.deepEqual([tied.s, tied.z, tied.tau, tied.p], [0, 0, 0, 1]);
  });

  it("says what it cannot take", () => {
    assert.throws(
      () => mannKendall([1, 2, 3], [1, 2, 3]),
      (e) => e instanceof TooFewPointsError && e.detail.needed === 4,
    );
    assert.throws(() => mannKendall([1, 2, 3, 4], [1, 2]), LengthMismatchError);
    assert.throws(() => mannKendall([1, 2, 3, Number.NaN], [1, 2, 3, 4]), NonFiniteValueError);
  });
});

const series = fc.array(
  fc.record({ x: fc.integer({ min: 0, max: 20 }), y: fc.integer({ min: -50, max: 50 }) }),
  { minLength: 4, maxLength: 20 },
);

describe("trends, for any series", () => {
  it("turn round with the series and do not mind its order or the unit", () => {
    fc.assert(
      fc.property(series, (points) => {
        const x = points.map((p) => p.x);
        const y = points.map((p) => p.y);
        const plain = mannKendall(x, y);
        const turned = mannKendall(
          x,
          y.map((value) => -value),
        );
        assert.equal(turned.s + plain.s, 0);
        assertClose(turned.p, plain.p, 1e-12);
        assert.ok(plain.p > 0 && plain.p <= 1 && Math.abs(plain.tau) <= 1);
        assert.equal(mannKendall([...x].reverse(), [...y].reverse()).s, plain.s);
        if (new Set(x).size > 1) {
          const line = theilSen(x, y);
          const scaled = theilSen(
            x,
            y.map((value) => 3 * value + 5),
          );
          assertClose(scaled.slope, 3 * line.slope, 1e-12);
          assertClose(scaled.intercept, 3 * line.intercept + 5, 1e-12);
          assert.ok(line.lower === null || line.lower <= line.slope);
          assert.ok(line.upper === null || line.upper >= line.slope);
        }
      }),
    );
  });
});
