import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { fitIndividualsBaseline, judgeIndividuals } from "../../../analysis/control-charts/individuals.ts";
import { MEAN_RANGE_OF_PAIR, movingRanges } from "../../../analysis/control-charts/moving-range.ts";
import { lag1Autocorrelation } from "../../../analysis/numeric/moments.ts";
import { againstSource, referenceData } from "../../support/reference-table.ts";

const points = (values: readonly number[]) => values.map((value, i) => ({ day: i, value }));

describe("individuals chart against its sources", () => {
  it("the flow-rate example of the NIST handbook", () => {
    const { data, expected } = referenceData<{
      data: { x: number[] };
      expected: {
        published: Record<"centre" | "meanMovingRange" | "UCL" | "LCL" | "d2", number> & {
          movingRanges: number[];
        };
        exactD2: Record<"UCL" | "LCL" | "sigmaHat" | "movingRangeUCL" | "meanMovingRange", number>;
      };
    }>("imr-nist");
    const limits = fitIndividualsBaseline(points(data.x));
    const source = "NIST handbook 6.3.2.2, individuals";
    const { published, exactD2 } = expected;
    const exact = { relative: 1e-13 };
    againstSource("moving ranges", source, published.movingRanges, movingRanges(data.x), { absolute: 1e-12 });
    againstSource("upper limit", source, exactD2.UCL, limits.upper, exact);
    againstSource("lower limit", source, exactD2.LCL, limits.lower, exact);
    againstSource("sigma", source, exactD2.sigmaHat, limits.sigma, exact);
    againstSource(
      "upper limit of moving range",
      source,
      exactD2.movingRangeUCL,
      limits.movingRangeUpper,
      exact,
    );
    // The handbook divides by 1.128 and prints four places.
    const widthAsPrinted = 3 * (limits.meanMovingRange / published.d2);
    const printed = { absolute: 6e-5 };
    againstSource("upper limit as printed", source, published.UCL, limits.centre + widthAsPrinted, printed);
    againstSource("lower limit as printed", source, published.LCL, limits.centre - widthAsPrinted, printed);
    againstSource(
      "mean moving range as printed",
      source,
      published.meanMovingRange,
      limits.meanMovingRange,
      printed,
    );
    assert.deepEqual(
      judgeIndividuals(points(data.x), limits).filter((p) => p.beyond),
      [],
    );
  });

  it("the resistivity check standard of the NIST handbook", () => {
    const { data, expected } = referenceData<{
      data: { value: number[] };
      expected: Record<"mean" | "meanMovingRange" | "sigmaMR" | "lag1", number>;
    }>("check-standard-137");
    const limits = fitIndividualsBaseline(points(data.value));
    const source = "NIST handbook 2.6.2, check standard 137";
    // Values near 97 with five figures: the ranges keep some 12 digits.
    const allowed = { relative: 1e-11 };
    againstSource("mean", source, expected.mean, limits.centre, allowed);
    againstSource("mean moving range", source, expected.meanMovingRange, limits.meanMovingRange, allowed);
    againstSource("sigma", source, expected.sigmaMR, limits.sigma, allowed);
    againstSource("lag-1 autocorrelation", source, expected.lag1, lag1Autocorrelation(data.value), allowed);
  });

  it("the constants of pairs", () => {
    const { expected } = referenceData<{
      expected: { movingRange: Record<"d2" | "d3" | "D4" | "E2", number> };
    }>("control-chart-constants");
    const limits = fitIndividualsBaseline(points([0, MEAN_RANGE_OF_PAIR])); // sigma 1
    const source = "moments of the range of two normal values";
    const { d2, D4, E2 } = expected.movingRange;
    const allowed = { relative: 1e-13 };
    againstSource("d2", source, d2, MEAN_RANGE_OF_PAIR, allowed);
    againstSource("D4", source, D4, limits.movingRangeUpper / limits.meanMovingRange, allowed);
    againstSource("E2", source, E2, (limits.upper - limits.centre) / limits.meanMovingRange, allowed);
  });
});
