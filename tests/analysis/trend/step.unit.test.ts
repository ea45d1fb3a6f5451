import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { NonFiniteValueError, TooFewPointsError } from "../../../analysis/errors.ts";
import { moments } from "../../../analysis/numeric/moments.ts";
import { likeliestStep, pettittTest } from "../../../analysis/trend/step.ts";
import { assertClose } from "../../support/close.ts";
import fc from "../../support/property.ts";

describe("likeliestStep", () => {
  it("finds a clean step, whose two means fit exactly", () => {
    const step = likeliestStep([1, 1, 1, 5, 5]);
    assert.deepEqual([step.firstAfter, step.before, step.after], [3, 1, 5]);
    assert.deepEqual([step.residualSquares, step.logLikelihoodRatio], [0, null]);
  });

  it("takes two points and equal values", () => {
    assert.equal(likeliestStep([1, 2]).firstAfter, 1);
    const level = likeliestStep([7, 7, 7]);
    assert.deepEqual([level.before, level.after, level.logLikelihoodRatio], [7, 7, null]);
  });

  it("says what it cannot take", () => {
    assert.throws(() => likeliestStep([1, 2, 3], 2), TooFewPointsError);
    assert.throws(() => likeliestStep([1, Number.NaN]), NonFiniteValueError);
    assert.throws(() => pettittTest([1]), TooFewPointsError);
    assert.throws(() => pettittTest([1, Number.POSITIVE_INFINITY]), NonFiniteValueError);
  });

  const series = fc.array(fc.integer({ min: -50, max: 50 }), { minLength: 2, maxLength: 25 });

  it("is the best of all places", () => {
    fc.assert(
      fc.property(series, (values) => {
        const { residualSquares } = likeliestStep(values);
        const best = Math.min(
          ...values
            .slice(1)
            .map((_, k) => moments(values.slice(0, k + 1)).squares + moments(values.slice(k + 1)).squares),
        );
        assertClose(residualSquares, best, 1e-9);
      }),
    );
  });

  it("stays where it is when the series is shifted, turned over or stretched", () => {
    fc.assert(
      fc.property(series, (values) => {
        const { k, p, firstAfter } = pettittTest(values);
        const turned = pettittTest(values.map((v) => 3 - 2 * v));
        assert.deepEqual(turned, { k, p, firstAfter });
        assert.ok(p > 0 && p <= 1);
      }),
    );
  });
});
