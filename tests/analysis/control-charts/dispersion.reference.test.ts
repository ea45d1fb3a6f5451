import assert from "node:assert/strict";
import { describe, it } from "vitest";
import {
  dispersionAllowance,
  pooledSd,
  withinCheckLimit,
} from "../../../analysis/control-charts/dispersion.ts";
import { NonFiniteValueError, TooFewPointsError } from "../../../analysis/errors.ts";
import { againstSource, referenceData } from "../../support/reference-table.ts";

describe("scatter within checks against its sources", () => {
  it("fifteen years of a kilogram check standard", () => {
    const { data, expected } = referenceData<{
      data: { runSD: number[]; baseline: number };
      expected: { pooledRunSD: number; runSDLimit: number; runSDExceed: number[] };
    }>("mass-check-standard");
    const baseline = data.runSD.slice(0, data.baseline);
    const pooled = pooledSd(
      baseline,
      baseline.map(() => 3),
    );
    const limit = withinCheckLimit(pooled, 3, 0.01);
    const source = "NIST handbook 2.3.5.1, kilogram check standard";
    againstSource("pooled SD within a run", source, expected.pooledRunSD, pooled.sd, { relative: 1e-12 });
    againstSource("limit at 1 %", source, expected.runSDLimit, limit, { relative: 1e-12 });
    assert.deepEqual(
      data.runSD.flatMap((sd, i) => (sd > limit ? [i + 1] : [])),
      expected.runSDExceed,
    );
  });

  it("25 occasions of a resistivity check standard", () => {
    const { data, expected } = referenceData<{
      data: { shortTermSD: number[]; df: number[] };
      expected: {
        pooledShortTermSD: number;
        pooledDf: number;
        shortTermUpperLimit: number;
        shortTermExceed: number[];
      };
    }>("check-standard-137");
    const pooled = pooledSd(data.shortTermSD, data.df);
    const limit = withinCheckLimit(pooled, 5, 0.05);
    const source = "NIST handbook 2.6.2, check standard 137";
    againstSource("pooled SD within an occasion", source, expected.pooledShortTermSD, pooled.sd, {
      relative: 1e-12,
    });
    againstSource("limit at 5 %", source, expected.shortTermUpperLimit, limit, { relative: 1e-12 });
    assert.equal(pooled.df, expected.pooledDf);
    assert.deepEqual(
      data.shortTermSD.flatMap((sd, i) => (sd > limit ? [i + 1] : [])),
      expected.shortTermExceed,
    );
  });

  it("the slack that is tuned to one and a half times the scatter", () => {
    const got = dispersionAllowance(1.5);
    againstSource("allowance at ratio 1.5", "Hawkins and Olwell 1998, from memory", 1.46, got, {
      absolute: 5e-4,
    });
  });

  it("says what is missing", () => {
    assert.throws(() => pooledSd([], []), TooFewPointsError);
    assert.throws(() => pooledSd([1, Number.NaN], [3, 3]), NonFiniteValueError);
  });
});
