import { describe, it } from "vitest";
import { type LeastSquaresFit, leastSquares } from "../../../analysis/numeric/least-squares.ts";
import { moments } from "../../../analysis/numeric/moments.ts";
import { againstSource, referenceData } from "../../support/reference-table.ts";

interface Certified {
  readonly coefficients: readonly number[];
  readonly sds: readonly number[];
  readonly residualSD: number;
  readonly rSquared: number;
}

const powers = (x: readonly number[], degree: number) =>
  Array.from({ length: degree + 1 }, (_, k) => x.map((value) => value ** k));

const residualSd = (fit: LeastSquaresFit) => Math.sqrt(fit.residualSquares / fit.df);
const sds = (fit: LeastSquaresFit) =>
  fit.inverseInformation.map((row, j) => residualSd(fit) * Math.sqrt(row[j]!));

describe("least squares against the NIST linear sets", () => {
  it("Pontius: a parabola in a badly scaled predictor", () => {
    const { data, expected } = referenceData<{
      data: { x: number[]; y: number[] };
      expected: Record<"b0" | "b1" | "b2" | "sdB0" | "sdB1" | "sdB2" | "residualSD" | "rSquared", number>;
    }>("pontius");
    const fit = leastSquares(powers(data.x, 2), data.y);
    const source = "NIST StRD Pontius";
    const allowed = { relative: 1e-11 };
    againstSource("coefficients", source, [expected.b0, expected.b1, expected.b2], fit.coefficients, allowed);
    againstSource(
      "standard deviations",
      source,
      [expected.sdB0, expected.sdB1, expected.sdB2],
      sds(fit),
      allowed,
    );
    againstSource("residual SD", source, expected.residualSD, residualSd(fit), allowed);
    const rSquared = 1 - fit.residualSquares / moments(data.y).squares;
    againstSource("R squared", source, expected.rSquared, rSquared, { relative: 1e-14 });
  });

  it("Longley: strong collinearity", () => {
    const { data, expected } = referenceData<{ data: { x: number[][]; y: number[] }; expected: Certified }>(
      "longley",
    );
    const fit = leastSquares([data.y.map(() => 1), ...data.x], data.y);
    const source = "NIST StRD Longley";
    // The condition of the scaled design is near 4e4, of which rounding keeps some 11 digits.
    const allowed = { relative: 1e-10 };
    againstSource("coefficients", source, expected.coefficients, fit.coefficients, allowed);
    againstSource("standard deviations", source, expected.sds, sds(fit), allowed);
    againstSource("residual SD", source, expected.residualSD, residualSd(fit), allowed);
  });

  it("NoInt1: a line through the origin; Wampler1: an exact polynomial of degree 5", () => {
    const { data, expected } = referenceData<{
      data: Record<"noint1" | "wampler1", { x: number[]; y: number[] }>;
      expected: {
        noint1: { slope: number; sdSlope: number; residualSD: number };
        wampler1: { coefficients: number[] };
      };
    }>("strd-noint-wampler");
    const line = leastSquares([data.noint1.x], data.noint1.y);
    const certified = expected.noint1;
    againstSource("slope", "NIST StRD NoInt1", certified.slope, line.coefficients[0]!, { relative: 1e-14 });
    againstSource("SD of slope", "NIST StRD NoInt1", certified.sdSlope, sds(line)[0]!, { relative: 1e-13 });
    againstSource("residual SD", "NIST StRD NoInt1", certified.residualSD, residualSd(line), {
      relative: 1e-13,
    });

    const fit = leastSquares(powers(data.wampler1.x, 5), data.wampler1.y);
    againstSource("coefficients", "NIST StRD Wampler1", expected.wampler1.coefficients, fit.coefficients, {
      relative: 1e-8,
    });
  });

  it("load cell: a parabola with replicates", () => {
    const { data, expected } = referenceData<{
      data: { x: number[]; y: number[] };
      expected: { quadratic: { coefficients: number[]; se: number[]; residualSD: number } };
    }>("loadcell-calibration");
    const fit = leastSquares(powers(data.x, 2), data.y);
    const source = "NIST handbook 2.3.6.5, load cell";
    const allowed = { relative: 1e-9 };
    againstSource("coefficients", source, expected.quadratic.coefficients, fit.coefficients, allowed);
    againstSource("standard errors", source, expected.quadratic.se, sds(fit), allowed);
    againstSource("residual SD", source, expected.quadratic.residualSD, residualSd(fit), allowed);
  });
});
