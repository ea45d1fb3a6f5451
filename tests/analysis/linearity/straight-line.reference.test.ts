import { describe, it } from "vitest";
import { tQuantile } from "../../../analysis/distributions/student-t.ts";
import { inversePrediction } from "../../../analysis/linearity/inverse-prediction.ts";
import { fitStraightLine, predictMean } from "../../../analysis/linearity/straight-line.ts";
import { againstSource, referenceData } from "../../support/reference-table.ts";

describe("straight line against its sources", () => {
  it("Norris", () => {
    const { data, expected } = referenceData<{
      data: { x: number[]; y: number[] };
      expected: Record<
        "intercept" | "slope" | "sdIntercept" | "sdSlope" | "residualSD" | "rSquared",
        number
      > & {
        covInterceptSlope: number;
      };
    }>("norris");
    const line = fitStraightLine(data.x, data.y);
    const source = "NIST StRD Norris";
    const allowed = { relative: 1e-12 };
    againstSource("intercept", source, expected.intercept, line.intercept, allowed);
    againstSource("slope", source, expected.slope, line.slope, allowed);
    againstSource("SD of intercept", source, expected.sdIntercept, line.seIntercept, allowed);
    againstSource("SD of slope", source, expected.sdSlope, line.seSlope, allowed);
    againstSource("residual SD", source, expected.residualSD, line.residualSd, allowed);
    againstSource("R squared", source, expected.rSquared, line.rSquared, allowed);
    // Not certified. Exact rational arithmetic gives -7.743275363156437e-5, which is ours; the file's figure errs by 3e-11.
    againstSource("covariance (computed)", source, expected.covInterceptSlope, line.covariance, {
      relative: 1e-10,
    });
  });

  it("GUM H.3: calibration of a thermometer", () => {
    const { data, expected } = referenceData<{
      data: { t0: number; reading: number[]; correction: number[] };
      expected: {
        published: Record<"y1" | "sY1" | "y2" | "sY2" | "r" | "s" | "bAt30" | "ucAt30", number>;
        exact: Record<"y1" | "sY1" | "y2" | "sY2" | "r" | "s" | "bAt30" | "ucAt30", number>;
      };
    }>("gum-h3");
    const line = fitStraightLine(
      data.reading.map((t) => t - data.t0),
      data.correction,
    );
    const at30 = predictMean(line, 30 - data.t0);
    const got = {
      y1: line.intercept,
      sY1: line.seIntercept,
      y2: line.slope,
      sY2: line.seSlope,
      r: line.covariance / (line.seIntercept * line.seSlope),
      s: line.residualSd,
      bAt30: at30.value,
      ucAt30: at30.se,
    };
    const order = ["y1", "sY1", "y2", "sY2", "r", "s", "bAt30", "ucAt30"] as const;
    const all = (record: Record<(typeof order)[number], number>) => order.map((key) => record[key]);
    const source = "GUM H.3 (JCGM 100:2008)";
    againstSource("line, correlation, prediction", source, all(expected.exact), all(got), {
      relative: 1e-12,
    });
    // Printed with four decimals at the most, the correlation with two.
    againstSource("correction and slope as printed", source, all(expected.published), all(got), {
      absolute: 6e-4,
    });
  });

  it("Massart et al. and two drifting series: inverse prediction", () => {
    interface Wanted {
      readonly y0: number;
      readonly m: number | "line only";
      readonly x0: number;
      readonly g: number;
      readonly waldSE: number;
      readonly lower?: number;
      readonly upper?: number;
      readonly excludedFrom?: number;
      readonly excludedTo?: number;
    }
    const { data, expected } = referenceData<{
      data: { massart: { x: number[]; y: number[] }; driftClear: Series; driftFlat: Series };
      expected: {
        massart: Wanted[];
        tTimesSE: number[];
        driftClear: Record<string, Wanted>;
        driftFlat: Record<string, Wanted>;
      };
    }>("inverse-prediction");
    type Series = { t: number[]; e: number[] };
    const { massart, driftClear, driftFlat } = data;
    const cases = [
      ...expected.massart.map((wanted) => ({ x: massart.x, y: massart.y, wanted })),
      ...Object.values(expected.driftClear).map((wanted) => ({ x: driftClear.t, y: driftClear.e, wanted })),
      ...Object.values(expected.driftFlat).map((wanted) => ({ x: driftFlat.t, y: driftFlat.e, wanted })),
    ].map(({ x, y, wanted }) => {
      const readings = wanted.m === "line only" ? Number.POSITIVE_INFINITY : wanted.m;
      return { wanted, got: inversePrediction(fitStraightLine(x, y), wanted.y0, readings) };
    });
    const ends = ({ set }: ReturnType<typeof inversePrediction>) => {
      if (set.kind === "interval") return [set.lower, set.upper];
      return set.kind === "outside" ? [set.excludedFrom, set.excludedTo] : [];
    };
    const wantedEnds = (w: Wanted) =>
      [w.lower ?? w.excludedFrom, w.upper ?? w.excludedTo].filter((value) => value !== undefined);

    const source = "Massart et al. 1997, ch. 8; Fieller 1954";
    const allowed = { relative: 1e-10 };
    againstSource(
      "x",
      source,
      cases.map((c) => c.wanted.x0),
      cases.map((c) => c.got.x!),
      allowed,
    );
    againstSource(
      "g",
      source,
      cases.map((c) => c.wanted.g),
      cases.map((c) => c.got.g),
      allowed,
    );
    againstSource(
      "first-order SE",
      source,
      cases.map((c) => c.wanted.waldSE),
      cases.map((c) => c.got.se!),
      allowed,
    );
    againstSource(
      "Fieller limits",
      source,
      cases.flatMap((c) => wantedEnds(c.wanted)),
      cases.flatMap((c) => ends(c.got)),
      allowed,
    );
    const t = tQuantile(0.975, 4);
    const halves = cases.slice(0, 3).map((c) => t * c.got.se!);
    againstSource("t times SE (published 4.9, 4.9, 3.2)", source, expected.tTimesSE, halves, allowed);
  });
});
