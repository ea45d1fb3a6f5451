import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { fQuantile } from "../../../analysis/distributions/f.ts";
import { tQuantile } from "../../../analysis/distributions/student-t.ts";
import { fitWithNoise } from "../../../analysis/linearity/check-noise.ts";
import { combination } from "../../../analysis/linearity/estimate.ts";
import { inversePrediction } from "../../../analysis/linearity/inverse-prediction.ts";
import { fitLinearity, linearityBand } from "../../../analysis/linearity/pooled.ts";
import { fitStraightLine } from "../../../analysis/linearity/straight-line.ts";
import { againstSource, referenceData } from "../../support/reference-table.ts";

/** A textbook's regression: every reading its own check, x on the scale of torque fractions. */
const textbook = (x: readonly number[], y: readonly number[]) =>
  fitLinearity({ check: [...x.keys()], torque: x.map((value) => 100 * value), error: y }, null);

describe("pooled regression against its sources", () => {
  it("the linearity study of the measurement-systems manual", () => {
    const { data, expected } = referenceData<{
      data: { reference: number[]; repeats: number; bias: number[] };
      expected: {
        exact: Record<
          "slope" | "intercept" | "seSlope" | "seIntercept" | "s" | "pSlope" | "pIntercept",
          number
        > & {
          bandLower: number[];
          bandUpper: number[];
          fitted: number[];
          zeroBiasInsideBand: boolean[];
          lackOfFit: { F: number; p: number; ssPureError: number; ssLackOfFit: number };
        };
      };
    }>("linearity-aiag");
    const x = data.reference.flatMap((value) => Array<number>(data.repeats).fill(value));
    const fit = textbook(x, data.bias);
    const band = linearityBand(
      fit,
      data.reference.map((value) => 100 * value),
    );
    const { exact } = expected;
    const source = "AIAG MSA 4th ed., linearity study";
    const allowed = { relative: 1e-9 };
    againstSource("slope", source, exact.slope, fit.span.value, allowed);
    againstSource("SE of slope", source, exact.seSlope, fit.span.se, allowed);
    againstSource("p of slope", source, exact.pSlope, fit.span.p, allowed);
    againstSource("intercept", source, exact.intercept, fit.zero.value, allowed);
    againstSource("SE of intercept", source, exact.seIntercept, fit.zero.se, allowed);
    againstSource("p of intercept", source, exact.pIntercept, fit.zero.p, allowed);
    againstSource("residual SD", source, exact.s, fit.repeatability, allowed);
    againstSource("confidence band, lower", source, exact.bandLower, band.lower, allowed);
    againstSource("confidence band, upper", source, exact.bandUpper, band.upper, allowed);
    againstSource("line", source, exact.fitted, band.mean, allowed);
    againstSource("lack of fit F", source, exact.lackOfFit.F, fit.lackOfFit!.f, allowed);
    againstSource("lack of fit p", source, exact.lackOfFit.p, fit.lackOfFit!.p, allowed);
    assert.deepEqual(
      band.lower.map((lower, i) => lower <= 0 && band.upper[i]! >= 0),
      exact.zeroBiasInsideBand,
    );
  });

  it("Pontius: a residual that looks small, and yet the line is rejected", () => {
    const { data, expected } = referenceData<{
      data: { x: number[]; y: number[] };
      expected: {
        straightLineExact: Record<"b0" | "sdB0" | "b1" | "sdB1" | "residualSD" | "lackOfFitF", number>;
      };
    }>("pontius");
    const fit = textbook(data.x, data.y);
    const wanted = expected.straightLineExact;
    const source = "NIST StRD Pontius, line (handbook 4.6.1.5)";
    const allowed = { relative: 1e-9 };
    againstSource("intercept", source, wanted.b0, fit.zero.value, allowed);
    againstSource("SE of intercept", source, wanted.sdB0, fit.zero.se, allowed);
    againstSource("slope", source, wanted.b1, fit.span.value, allowed);
    againstSource("SE of slope", source, wanted.sdB1, fit.span.se, allowed);
    againstSource("residual SD", source, wanted.residualSD, fit.repeatability, allowed);
    againstSource("lack of fit F", source, wanted.lackOfFitF, fit.lackOfFit!.f, allowed);
    assert.ok(fit.curvature!.p < 1e-10);
  });

  it("load cell: curvature shows in the lack of fit", () => {
    const { data, expected } = referenceData<{
      data: { x: number[]; y: number[] };
      expected: {
        linear: { coefficients: number[]; residualSD: number; F: number };
        quadratic: { coefficients: number[]; se: number[] };
      };
    }>("loadcell-calibration");
    const fit = textbook(data.x, data.y);
    const { linear, quadratic } = expected;
    const source = "NIST handbook 2.3.6.5, load cell";
    const allowed = { relative: 1e-8 };
    againstSource("line", source, linear.coefficients, [fit.zero.value, fit.span.value], allowed);
    againstSource("residual SD of line", source, linear.residualSD, fit.repeatability, allowed);
    againstSource("lack of fit F of line", source, linear.F, fit.lackOfFit!.f, allowed);
    // 4 (x^2 - x) carries four times its coefficient on x^2.
    againstSource("curvature", source, quadratic.coefficients[2]!, 4 * fit.curvature!.value, allowed);
    againstSource("SE of curvature", source, quadratic.se[2]!, 4 * fit.curvature!.se, allowed);
  });

  it("line widths: calibration line, lack of fit, control by three standards, inverse prediction", () => {
    const { data, expected } = referenceData<{
      data: {
        calibration: { x: number[]; y: number[] };
        check: { day: number[]; reference: number[]; measured: number[] };
        alpha: number;
      };
      expected: Record<"intercept" | "slope" | "seIntercept" | "seSlope" | "residualSD", number> & {
        lackOfFit: { F: number; p: number; criticalF05: number };
        control: { w: number[]; tStar: number; limit: number; outOfControlDay: number[] };
        inverse: Record<
          "oneReading" | "fourReadings" | "lineOnly",
          { x0: number; lower: number; upper: number }
        >;
      };
    }>("linewidth-calibration");
    const { x, y } = data.calibration;
    const fit = textbook(x, y);
    const source = "NIST handbook 2.3.6, line widths (ISO 11095)";
    const allowed = { relative: 1e-9 };
    againstSource("intercept", source, expected.intercept, fit.zero.value, allowed);
    againstSource("slope", source, expected.slope, fit.span.value, allowed);
    againstSource("SE of intercept", source, expected.seIntercept, fit.zero.se, allowed);
    againstSource("SE of slope", source, expected.seSlope, fit.span.se, allowed);
    againstSource("residual SD", source, expected.residualSD, fit.repeatability, allowed);
    againstSource("lack of fit F", source, expected.lackOfFit.F, fit.lackOfFit!.f, allowed);
    againstSource("lack of fit p", source, expected.lackOfFit.p, fit.lackOfFit!.p, allowed);
    againstSource(
      "critical F(8, 30)",
      source,
      expected.lackOfFit.criticalF05,
      fQuantile(0.95, 8, 30),
      allowed,
    );

    const line = fitStraightLine(x, y);
    const answers = [1, 4, Number.POSITIVE_INFINITY].map((m) => inversePrediction(line, 5, m));
    const { oneReading, fourReadings, lineOnly } = expected.inverse;
    const wanted = [oneReading, fourReadings, lineOnly];
    againstSource(
      "inverse prediction",
      source,
      wanted.map((w) => w.x0),
      answers.map((a) => a.x!),
      allowed,
    );
    againstSource(
      "limits of inverse prediction",
      source,
      wanted.flatMap((w) => [w.lower, w.upper]),
      answers.flatMap(({ set }) => (set.kind === "interval" ? [set.lower, set.upper] : [])),
      allowed,
    );

    // Three standards a day at a joint level of 5 %.
    const tStar = tQuantile(1 - (1 - (1 - data.alpha) ** (1 / 3)) / 2, line.df);
    const limit = (line.residualSd * tStar) / line.slope;
    const off = data.check.measured.map(
      (m, i) => (m - line.intercept) / line.slope - data.check.reference[i]!,
    );
    againstSource("t* for three standards", source, expected.control.tStar, tStar, allowed);
    againstSource("distance of the standards from the line", source, expected.control.w, off, {
      absolute: 1e-12,
    });
    againstSource("limit of the control chart", source, expected.control.limit, limit, allowed);
    assert.deepEqual(
      data.check.day.filter((_, i) => Math.abs(off[i]!) > limit),
      expected.control.outOfControlDay,
    );
  });

  it("Rail: the noise shared by a group, by restricted maximum likelihood", () => {
    const { data, expected } = referenceData<{
      data: { rail: string[]; travel: number[] };
      expected: Record<"mean" | "seMean" | "sdRail" | "sdResidual", number>;
    }>("mixed-rail");
    const ones = data.travel.map(() => 1);
    const readings = { check: data.rail.map(Number), torque: ones, error: data.travel, weight: ones };
    // Knowledge worth next to nothing leaves the likelihood alone.
    const fit = fitWithNoise([ones], readings, { repeatability: 5, sharedProportional: 20, df: 1e-9 });
    const mean = combination(fit, [1]);
    const source = "Rail (Pinheiro and Bates 2000; R lme4)";
    againstSource("mean", source, expected.mean, mean.value, { relative: 1e-12 });
    // The search ends at 1e-5 of the logarithm of the ratio.
    const allowed = { relative: 1e-5 };
    againstSource("SE of mean", source, expected.seMean, mean.se, allowed);
    againstSource("SD shared", source, expected.sdRail, fit.sharedProportional, allowed);
    againstSource("SD of a reading", source, expected.sdResidual, fit.repeatability, allowed);
    // Balanced groups: the mean has groups - 1 degrees of freedom exactly.
    againstSource("degrees of freedom of mean", source, 5, mean.df, { relative: 1e-3 });
  });
});
