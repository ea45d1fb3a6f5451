import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { ImpossibleValueError } from "../../analysis/errors.ts";
import {
  DEFAULT_TOLERANCE_RULE,
  judgeReading,
  sharesFor,
  type ToleranceRule,
  tolerancePercentFs,
} from "../../analysis/tolerance.ts";
import { assertClose } from "../support/close.ts";

const perGeometry: ToleranceRule = {
  ...DEFAULT_TOLERANCE_RULE,
  perGeometry: { "vessel 600": { accessoryPercent: 0 }, careful: { combine: "root-sum-square" } },
};

describe("tolerancePercentFs", () => {
  it("adds the shares: 1 % of the value and 2 % of the range", () => {
    assertClose(tolerancePercentFs(50, DEFAULT_TOLERANCE_RULE), 2.5, 1e-15);
  });

  it("joins independent shares by the root of their squares", () => {
    const rule = { ...DEFAULT_TOLERANCE_RULE, combine: "root-sum-square" } as const;
    assertClose(tolerancePercentFs(50, rule), Math.sqrt(0.25 + 1 + 1), 1e-15);
  });

  it("takes a geometry's own shares and the general rule for the rest", () => {
    assertClose(tolerancePercentFs(50, perGeometry, "vessel 600"), 1.5, 1e-15);
    assertClose(tolerancePercentFs(50, perGeometry, "careful"), 1.5, 1e-15);
    assertClose(tolerancePercentFs(50, perGeometry, "other"), 2.5, 1e-15);
    assertClose(tolerancePercentFs(50, perGeometry, null), 2.5, 1e-15);
  });

  it("is not misled by a geometry that is called like a property of every object", () => {
    assert.equal(sharesFor(perGeometry, "constructor"), perGeometry);
  });

  it("names what cannot be", () => {
    assert.throws(() => tolerancePercentFs(-1, DEFAULT_TOLERANCE_RULE), ImpossibleValueError);
    assert.throws(() => tolerancePercentFs(Number.NaN, DEFAULT_TOLERANCE_RULE), ImpossibleValueError);
    const none = { ...DEFAULT_TOLERANCE_RULE, fluidPercent: 0, instrumentPercent: 0, accessoryPercent: 0 };
    assert.throws(() => tolerancePercentFs(50, none), /tolerance must be above 0, got 0/);
  });
});

describe("judgeReading", () => {
  it("is out of tolerance just beyond the limit, either way", () => {
    const facts = { certifiedMPaS: 95, fullScaleRangeMPaS: 500 };
    const judge = (readingMPaS: number) => judgeReading({ ...facts, readingMPaS }, DEFAULT_TOLERANCE_RULE);
    assert.ok(judge(95 + 10.96).errorOverTolerance > 1);
    assert.ok(judge(95 + 10.94).errorOverTolerance < 1);
    assert.ok(judge(95 - 10.96).errorOverTolerance < -1);
    assert.equal(judge(95).errorOverTolerance, 0);
  });

  it("names a range or value that cannot be", () => {
    const facts = { readingMPaS: 1, certifiedMPaS: 1, fullScaleRangeMPaS: 1 };
    for (const bad of [0, -5, Number.NaN, Number.POSITIVE_INFINITY]) {
      const judge = (part: object) => () => judgeReading({ ...facts, ...part }, DEFAULT_TOLERANCE_RULE);
      assert.throws(judge({ fullScaleRangeMPaS: bad }), /full-scale range must be above 0/);
      assert.throws(judge({ certifiedMPaS: bad }), /certified value must be above 0/);
    }
    assert.throws(
      () => judgeReading({ ...facts, readingMPaS: Number.NaN }, DEFAULT_TOLERANCE_RULE),
      ImpossibleValueError,
    );
  });
});
