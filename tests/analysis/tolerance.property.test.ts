import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { type Combination, DEFAULT_TOLERANCE_RULE, judgeReading } from "../../analysis/tolerance.ts";
import { assertClose } from "../support/close.ts";
import fc from "../support/property.ts";

const positive = fc.double({ min: 0.01, max: 1e6, noNaN: true });
const combine = fc.constantFrom<Combination>("linear", "root-sum-square");

describe("judgeReading, for any reading", () => {
  it("does not depend on the unit of viscosity", () => {
    fc.assert(
      fc.property(
        positive,
        positive,
        positive,
        combine,
        (readingMPaS, certifiedMPaS, fullScaleRangeMPaS, c) => {
          const rule = { ...DEFAULT_TOLERANCE_RULE, combine: c };
          const inMPaS = judgeReading({ readingMPaS, certifiedMPaS, fullScaleRangeMPaS }, rule);
          const inPaS = judgeReading(
            {
              readingMPaS: readingMPaS / 1000,
              certifiedMPaS: certifiedMPaS / 1000,
              fullScaleRangeMPaS: fullScaleRangeMPaS / 1000,
            },
            rule,
          );
          assertClose(inPaS.errorOverTolerance, inMPaS.errorOverTolerance, 1e-9);
        },
      ),
    );
  });

  it("never allows more by root sum of squares than by adding", () => {
    fc.assert(
      fc.property(positive, positive, (certifiedMPaS, fullScaleRangeMPaS) => {
        const facts = { readingMPaS: certifiedMPaS, certifiedMPaS, fullScaleRangeMPaS };
        const added = judgeReading(facts, DEFAULT_TOLERANCE_RULE).tolerancePercentFs;
        const rooted = judgeReading(facts, { ...DEFAULT_TOLERANCE_RULE, combine: "root-sum-square" });
        assert.ok(rooted.tolerancePercentFs <= added);
      }),
    );
  });
});
