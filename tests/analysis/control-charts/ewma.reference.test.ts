import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { ewmaChart } from "../../../analysis/control-charts/ewma.ts";
import { moments } from "../../../analysis/numeric/moments.ts";
import { againstSource, referenceData } from "../../support/reference-table.ts";

describe("EWMA chart against its sources", () => {
  it("the twenty-point example of the NIST handbook", () => {
    const { data, expected } = referenceData<{
      data: { x: number[]; lambda: number; ewma0: number; sigma: number; L: number };
      expected: {
        published: { ewma: number[]; UCL: number; LCL: number };
        exact: {
          ewma: number[];
          UCL: number;
          LCL: number;
          UCLtimeVarying: number[];
          LCLtimeVarying: number[];
        };
      };
    }>("ewma-nist");
    const design = { centre: data.ewma0, sigma: data.sigma, weight: data.lambda, limitSigma: data.L };
    const fixed = ewmaChart(data.x, { ...design, limits: "asymptotic" });
    const exact = ewmaChart(data.x, { ...design, limits: "exact" });
    const source = "NIST handbook 6.3.2.4, EWMA";
    const tight = { relative: 1e-13 };
    const series = fixed.map((p) => p.ewma);
    againstSource("weighted means", source, expected.exact.ewma.slice(1), series, tight);
    // Two printed places, and a little for ties rounded either way.
    againstSource("weighted means as printed", source, expected.published.ewma.slice(1), series, {
      absolute: 5.1e-3,
    });
    againstSource("upper limit", source, expected.exact.UCL, fixed[0]!.upper, tight);
    againstSource("lower limit", source, expected.exact.LCL, fixed[0]!.lower, tight);
    // The source rounds sqrt(0.3 / 1.7) first.
    const { UCL, LCL } = expected.published;
    againstSource("limits as printed", source, [UCL, LCL], [fixed[0]!.upper, fixed[0]!.lower], {
      absolute: 1e-4,
    });
    againstSource(
      "exact upper limits",
      source,
      expected.exact.UCLtimeVarying,
      exact.map((p) => p.upper),
      tight,
    );
    againstSource(
      "exact lower limits",
      source,
      expected.exact.LCLtimeVarying,
      exact.map((p) => p.lower),
      tight,
    );
    assert.ok(!fixed.some((p) => p.beyond));
  });

  it("fifteen years of a kilogram check standard: a small lasting shift", () => {
    const { data, expected } = referenceData<{
      data: { value: number[]; baseline: number };
      expected: {
        baselineMean: number;
        baselineSD: number;
        ewma: {
          lambda: number;
          L: number;
          halfWidth: number;
          z: number[];
          outside: number[];
          firstOutsideAfterBaseline: number;
        };
      };
    }>("mass-check-standard");
    const { mean, sampleSd } = moments(data.value.slice(0, data.baseline));
    const { lambda, L, halfWidth, z, outside, firstOutsideAfterBaseline } = expected.ewma;
    const chart = ewmaChart(data.value, {
      centre: mean,
      sigma: sampleSd,
      weight: lambda,
      limitSigma: L,
      limits: "asymptotic",
    });
    const source = "NIST handbook 2.3.5.2, kilogram check standard";
    const tight = { relative: 1e-12 };
    againstSource("baseline mean", source, expected.baselineMean, mean, tight);
    againstSource("baseline SD", source, expected.baselineSD, sampleSd, tight);
    againstSource(
      "weighted means",
      source,
      z,
      chart.map((p) => p.ewma),
      tight,
    );
    againstSource("half width of limits", source, halfWidth, chart[0]!.upper - mean, tight);
    const beyond = chart.flatMap((p, i) => (p.beyond ? [i + 1] : []));
    assert.deepEqual(beyond, outside);
    const first = beyond.find((row) => row > data.baseline) ?? 0;
    againstSource("first beyond after the baseline", source, firstOutsideAfterBaseline, first, {
      absolute: 0,
    });
  });
});
