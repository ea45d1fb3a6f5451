import assert from "node:assert/strict";
import { describe, it } from "vitest";
import {
  AnalysisError,
  ImpossibleValueError,
  LengthMismatchError,
  NonFiniteValueError,
  SingularDesignError,
  TooFewPointsError,
} from "../../../analysis/errors.ts";
import { inversePrediction } from "../../../analysis/linearity/inverse-prediction.ts";
import { fitStraightLine, predictMean } from "../../../analysis/linearity/straight-line.ts";
import { assertClose } from "../../support/close.ts";
import fc from "../../support/property.ts";

const level = fitStraightLine([1, 2, 3], [5, 5, 5]);

describe("fitStraightLine", () => {
  it("says what a line cannot be drawn through", () => {
    assert.throws(() => fitStraightLine([1, 2], [1, 2]), TooFewPointsError);
    assert.throws(() => fitStraightLine([1, 2, 3], [1, 2]), LengthMismatchError);
    assert.throws(() => fitStraightLine([4, 4, 4], [1, 2, 3]), SingularDesignError);
    assert.throws(() => fitStraightLine([1, 2, 3], [1, Number.NaN, 3]), NonFiniteValueError);
  });

  it("is level through equal values, without scatter", () => {
    assert.equal(level.slope, 0);
    assert.equal(level.residualSd, 0);
    assert.equal(level.rSquared, 0);
    assert.deepEqual(predictMean(level, 7), { value: 5, se: 0 });
  });
});

describe("inversePrediction", () => {
  it("has no place where a level line without scatter never comes", () => {
    const answer = inversePrediction(level, 6);
    assert.deepEqual([answer.x, answer.se, answer.set.kind], [null, null, "nowhere"]);
    assert.equal(inversePrediction(level, 5).set.kind, "everything");
  });

  it("is exact where the points lie on the line", () => {
    const { x, set } = inversePrediction(fitStraightLine([0, 1, 2], [0, 2, 4]), 6);
    assert.equal(x, 3);
    assert.deepEqual(set, { kind: "interval", lower: 3, upper: 3 });
  });

  it("names what cannot be asked", () => {
    assert.throws(() => inversePrediction(level, Number.NaN), NonFiniteValueError);
    assert.throws(() => inversePrediction(level, 1, 0), ImpossibleValueError);
    assert.throws(() => inversePrediction(level, 1, 1, 1), RangeError);
  });
});

const points = fc.array(
  fc.record({
    x: fc.integer({ min: 0, max: 100 }),
    y: fc.integer({ min: -5000, max: 5000 }).map((v) => v / 1000),
  }),
  { minLength: 3, maxLength: 30 },
);

describe("straight line, for any points", () => {
  it("does not mind where the origin lies", () => {
    fc.assert(
      fc.property(points, (list) => {
        const x = list.map((p) => p.x);
        const y = list.map((p) => p.y);
        if (new Set(x).size === 1) return;
        const moved = fitStraightLine(
          x.map((value) => value + 2 ** 20),
          y,
        );
        const line = fitStraightLine(x, y);
        assertClose(moved.slope, line.slope, 1e-8);
        assertClose(moved.residualSd, line.residualSd, 1e-8);
        assertClose(predictMean(moved, 2 ** 20 + 10).se, predictMean(line, 10).se, 1e-8);
      }),
    );
  });

  it("answers in full or says why not", () => {
    fc.assert(
      fc.property(points, fc.double({ min: -10, max: 10, noNaN: true }), (list, height) => {
        try {
          const line = fitStraightLine(
            list.map((p) => p.x),
            list.map((p) => p.y),
          );
          const { x, set } = inversePrediction(line, height);
          if (set.kind === "interval" && x !== null) {
            assert.ok(set.lower <= x + 1e-6 && x - 1e-6 <= set.upper, `${set.lower} ${x} ${set.upper}`);
          }
          assert.ok(!Number.isNaN(line.seSlope));
        } catch (error) {
          assert.ok(error instanceof AnalysisError, String(error));
        }
      }),
    );
  });
});
