import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { fitIndividualsBaseline, judgeIndividuals } from "../../../analysis/control-charts/individuals.ts";
import { movingRangeSigma } from "../../../analysis/control-charts/moving-range.ts";
import { AnalysisError } from "../../../analysis/errors.ts";
import { assertClose } from "../../support/close.ts";
import fc from "../../support/property.ts";

const percent = fc.double({ min: -100, max: 100, noNaN: true });
const series = fc.array(percent, { minLength: 2, maxLength: 100 });
// 1e-9: shifting and scaling round every value once; sums of 100 such terms stay far below this.
const ROUNDING = 1e-9;

describe("movingRangeSigma, for any series", () => {
  it("does not change when a constant is added, nor read backwards", () => {
    fc.assert(
      fc.property(series, percent, (values, shift) => {
        const sigma = movingRangeSigma(values);
        assertClose(movingRangeSigma(values.map((v) => v + shift)), sigma, ROUNDING);
        assertClose(movingRangeSigma([...values].reverse()), sigma, ROUNDING);
      }),
    );
  });

  it("scales with the unit", () => {
    fc.assert(
      fc.property(series, fc.double({ min: 0.001, max: 1000, noNaN: true }), (values, factor) => {
        assertClose(
          movingRangeSigma(values.map((v) => v * factor)),
          factor * movingRangeSigma(values),
          ROUNDING,
        );
      }),
    );
  });
});

describe("individuals chart, for any series", () => {
  it("answers in full or says why not", () => {
    const anything = fc.array(
      fc.record({
        day: fc.double(),
        value: fc.oneof(
          fc.double({ min: -1e100, max: 1e100, noNaN: true }),
          fc.constantFrom(0, 1e15, -1e15, 1e15 + 0.25, Number.NaN, Number.POSITIVE_INFINITY),
        ),
      }),
      { maxLength: 12 },
    );
    fc.assert(
      fc.property(anything, (points) => {
        try {
          const limits = fitIndividualsBaseline(points);
          const judged = judgeIndividuals(points, limits);
          assert.equal(judged.length, points.length);
          assert.ok(limits.lower <= limits.centre && limits.centre <= limits.upper);
          assert.ok(judged.every((point) => Number.isFinite(point.distanceSigma)));
        } catch (error) {
          assert.ok(error instanceof AnalysisError, String(error));
        }
      }),
    );
  });
});
