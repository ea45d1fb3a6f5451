import { describe, it } from "vitest";
import { bandOf } from "../../analysis/band.ts";
import { DEFAULT_TOLERANCE_RULE, judgeReading } from "../../analysis/tolerance.ts";
import { againstSource } from "../support/reference-table.ts";

const ROUNDING = { relative: 1e-14 };
const PRACTICE = "common practice, no source";

describe("tolerance arithmetic", () => {
  it("gives ±10.95 mPa·s for 95 mPa·s at a range of 500, with 1 % + 2 %", () => {
    const facts = { readingMPaS: 95, certifiedMPaS: 95, fullScaleRangeMPaS: 500 };
    const { toleranceMPaS } = judgeReading(facts, DEFAULT_TOLERANCE_RULE);
    againstSource("tolerance of 95 mPa·s at range 500 mPa·s", PRACTICE, 10.95, toleranceMPaS, ROUNDING);
  });

  it("puts 100 mPa·s at a range of 200 at 50 % torque", () => {
    const facts = { readingMPaS: 100, certifiedMPaS: 100, fullScaleRangeMPaS: 200 };
    const { torquePercent } = judgeReading(facts, DEFAULT_TOLERANCE_RULE);
    againstSource("torque of 100 mPa·s at range 200 mPa·s", PRACTICE, 50, torquePercent, ROUNDING);
  });

  it("cuts the bands at 10, 30, 70 and 100 %", () => {
    const number = { low: 1, medium: 2, high: 3 } as const;
    const bandNumbers = [9.99, 10, 29.99, 30, 69.99, 70, 100, 100.01].map((torque) => {
      const band = bandOf(torque);
      return band === null ? 0 : number[band];
    });
    againstSource("bands by torque", PRACTICE, [0, 1, 1, 2, 2, 3, 3, 0], bandNumbers, { absolute: 0 });
  });

  it("agrees with the worked figures of a unit without accessory", () => {
    const rule = { ...DEFAULT_TOLERANCE_RULE, accessoryPercent: 0 };
    const facts = { readingMPaS: 99.5, certifiedMPaS: 97.7, fullScaleRangeMPaS: 211.9 };
    const judged = judgeReading(facts, rule);
    // Five printed places of a hand computation.
    const printed = { absolute: 5e-6 };
    againstSource("tolerance, % FS", "worked by hand", 1.46107, judged.tolerancePercentFs, printed);
    againstSource("error over tolerance", "worked by hand", 0.5814, judged.errorOverTolerance, {
      absolute: 5e-5,
    });
  });
});
