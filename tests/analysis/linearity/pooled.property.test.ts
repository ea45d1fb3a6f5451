import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { AnalysisError } from "../../../analysis/errors.ts";
import { fitWithNoise } from "../../../analysis/linearity/check-noise.ts";
import { fitLinearity, linearityBand } from "../../../analysis/linearity/pooled.ts";
import { fitStraightLine } from "../../../analysis/linearity/straight-line.ts";
import { leastSquares } from "../../../analysis/numeric/least-squares.ts";
import { assertClose } from "../../support/close.ts";
import fc from "../../support/property.ts";

const reading = fc.record({
  check: fc.integer({ min: 0, max: 5 }),
  torque: fc.integer({ min: 10, max: 100 }),
  error: fc.integer({ min: -3000, max: 3000 }).map((v) => v / 1000),
});
const columns = (list: { check: number; torque: number; error: number }[]) => ({
  check: list.map((r) => r.check),
  torque: list.map((r) => r.torque),
  error: list.map((r) => r.error),
});
const readings = fc.array(reading, { minLength: 4, maxLength: 25 }).map(columns);
/** The noise is found by a search that ends at 1e-5 of the logarithm of its ratio. */
const SEARCH = 1e-5;
/** Each run fits by search, some milliseconds. */
const FEWER = { numRuns: 30 };
const twoTorques = (data: { torque: number[] }) => Math.max(...data.torque) - Math.min(...data.torque) >= 1;

describe("fitLinearity, for any readings", () => {
  it("answers in full or says why not", () => {
    fc.assert(
      fc.property(fc.array(reading, { maxLength: 8 }).map(columns), (data) => {
        try {
          const fit = fitLinearity(data);
          for (const { value, se, df, p } of [fit.zero, fit.span]) {
            assert.ok([value, se, df].every(Number.isFinite) && se > 0 && df > 0 && p >= 0 && p <= 1);
          }
          const band = linearityBand(fit, [10, 50, 90]);
          assert.ok(band.lower.every((lower, i) => lower < band.mean[i]! && band.mean[i]! < band.upper[i]!));
        } catch (error) {
          assert.ok(error instanceof AnalysisError, String(error));
        }
      }),
    );
  });

  it("is the plain line where every reading stands alone", () => {
    fc.assert(
      fc.property(readings.filter(twoTorques), (data) => {
        const line = fitStraightLine(
          data.torque.map((t) => t / 100),
          data.error,
        );
        // Points on a line exactly leave nothing to judge by, and are refused.
        fc.pre(line.residualSd > 1e-9);
        const fit = fitLinearity(data, null);
        assertClose(fit.zero.value, line.intercept, 1e-9);
        assertClose(fit.span.se, line.seSlope, 1e-9);
        assert.equal(fit.span.df, line.df);
      }),
    );
  });

  it("follows a line that is added to the errors", () => {
    fc.assert(
      fc.property(readings.filter(twoTorques), (data) => {
        const moved = { ...data, error: data.error.map((e, i) => e + 1 - (2 * data.torque[i]!) / 100) };
        const [before, after] = [fitLinearity(data), fitLinearity(moved)];
        assertClose(after.zero.value, before.zero.value + 1, SEARCH);
        assertClose(after.span.value, before.span.value - 2, SEARCH);
        assertClose(after.repeatability, before.repeatability, SEARCH);
      }),
      FEWER,
    );
  });

  it("does not mind the order of the readings", () => {
    fc.assert(
      fc.property(readings.filter(twoTorques), (data) => {
        const backwards = {
          check: [...data.check].reverse(),
          torque: [...data.torque].reverse(),
          error: [...data.error].reverse(),
        };
        assertClose(fitLinearity(backwards).span.value, fitLinearity(data).span.value, SEARCH);
      }),
      FEWER,
    );
  });
});

describe("fitWithNoise, the slow and obvious way", () => {
  it("equals least squares whitened by the inverse covariance itself", () => {
    fc.assert(
      fc.property(readings.filter(twoTorques), (data) => {
        const torque = data.torque.map((t) => t / 100);
        const ones = torque.map(() => 1);
        const noise = { repeatability: 0.2, sharedProportional: 0.7, df: Number.POSITIVE_INFINITY };
        const weight = ones;
        const fit = fitWithNoise(
          [ones, torque],
          { check: data.check, torque, error: data.error, weight },
          noise,
        );

        // The shared error as one more unknown a check, held to 0 by a reading of its own: the same posterior.
        const checks = [...new Set(data.check)];
        const scale = 1 / 0.2;
        const rows = torque.map((x, i) =>
          [1, x, ...checks.map((g) => (data.check[i] === g ? x : 0))].map((v) => v * scale),
        );
        const held = checks.map((_, g) => [0, 0, ...checks.map((_, h) => (g === h ? 1 / 0.7 : 0))]);
        const design = [...rows, ...held];
        const augmented = leastSquares(
          design[0]!.map((_, j) => design.map((row) => row[j]!)),
          [...data.error.map((e) => e * scale), ...checks.map(() => 0)],
        );
        assertClose(fit.coefficients[0]!, augmented.coefficients[0]!, 1e-9);
        assertClose(fit.coefficients[1]!, augmented.coefficients[1]!, 1e-9);
        assertClose(fit.covariance[0]![0]!, augmented.inverseInformation[0]![0]!, 1e-9);
        assertClose(fit.covariance[1]![1]!, augmented.inverseInformation[1]![1]!, 1e-9);
      }),
    );
  });
});
