import assert from "node:assert/strict";
import { describe, it } from "vitest";
import {
  LengthMismatchError,
  NonFiniteValueError,
  SingularDesignError,
  TooFewPointsError,
} from "../../../analysis/errors.ts";
import { leastSquares } from "../../../analysis/numeric/least-squares.ts";

const ones = [1, 1, 1];

describe("leastSquares", () => {
  it("goes through as many points as it has columns", () => {
    const fit = leastSquares(
      [
        [1, 1],
        [0, 2],
      ],
      [1, 5],
    );
    assert.deepEqual(
      [...fit.coefficients].map((c) => Math.round(c * 1e12) / 1e12),
      [1, 2],
    );
    assert.equal(fit.df, 0);
    assert.ok(fit.residualSquares < 1e-28);
  });

  it("names a column that is a combination of the others", () => {
    assert.throws(() => leastSquares([ones, [2, 2, 2]], [1, 2, 3]), SingularDesignError);
    assert.throws(() => leastSquares([ones, [0, 0, 0]], [1, 2, 3]), /column 1 is a combination/);
    assert.throws(
      () =>
        leastSquares(
          [
            [0.1, 0.2, 0.3],
            [0.3, 0.6, 0.9],
          ],
          [1, 2, 3],
        ),
      SingularDesignError,
    );
  });

  it("says what is missing or bad", () => {
    assert.throws(() => leastSquares([[1], [2]], [1]), TooFewPointsError);
    assert.throws(() => leastSquares([], []), TooFewPointsError);
    assert.throws(() => leastSquares([[1, 2]], [1, 2, 3]), LengthMismatchError);
    assert.throws(() => leastSquares([[1, Number.NaN, 3]], [1, 2, 3]), NonFiniteValueError);
    assert.throws(() => leastSquares([ones], [1, 2, Number.NEGATIVE_INFINITY]), NonFiniteValueError);
  });
});
