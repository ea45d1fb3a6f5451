import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { NonFiniteValueError, TooFewPointsError } from "../../../analysis/errors.ts";
import { lag1Autocorrelation, moments } from "../../../analysis/numeric/moments.ts";
import { compensatedSum } from "../../../analysis/numeric/sum.ts";

describe("moments", () => {
  it("of equal values have no spread at all", () => {
    assert.deepEqual(moments([0.1, 0.1, 0.1]), {
      count: 3,
      mean: 0.1,
      squares: 0,
      sampleVariance: 0,
      sampleSd: 0,
    });
    assert.equal(lag1Autocorrelation([7, 7, 7]), 0);
  });

  it("of one value are the value, without a spread", () => {
    assert.equal(moments([5]).mean, 5);
    assert.equal(moments([5]).sampleSd, 0);
  });

  it("say what is missing and where the bad value is", () => {
    assert.throws(() => moments([]), TooFewPointsError);
    assert.throws(() => lag1Autocorrelation([1]), TooFewPointsError);
    assert.throws(
      () => moments([1, Number.POSITIVE_INFINITY]),
      (e) => e instanceof NonFiniteValueError && e.detail.index === 1,
    );
  });
});

describe("compensatedSum", () => {
  it("keeps what plain addition loses", () => {
    assert.equal(compensatedSum([1, 1e100, 1, -1e100]), 2);
    assert.equal(compensatedSum(Array(10).fill(0.1)), 1);
    assert.equal(compensatedSum([]), 0);
  });

  it("passes infinity and NaN on", () => {
    assert.equal(compensatedSum([1, Number.POSITIVE_INFINITY]), Number.POSITIVE_INFINITY);
    assert.ok(Number.isNaN(compensatedSum([1, Number.NaN, 2])));
  });
});
