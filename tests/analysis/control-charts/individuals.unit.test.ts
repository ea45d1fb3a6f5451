import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { fitIndividualsBaseline, judgeIndividuals } from "../../../analysis/control-charts/individuals.ts";
import { movingRangeSigma } from "../../../analysis/control-charts/moving-range.ts";
import {
  NonFiniteValueError,
  NoScatterError,
  OutOfOrderError,
  TooFewPointsError,
} from "../../../analysis/errors.ts";
import { assertClose } from "../../support/close.ts";

const points = (...values: number[]) => values.map((value, i) => ({ day: 7 * i, value }));

describe("movingRangeSigma", () => {
  it("divides the mean moving range (2, 1, 2) by 2 / sqrt(pi)", () => {
    assertClose(movingRangeSigma([10, 12, 11, 13]), (5 / 3) * (Math.sqrt(Math.PI) / 2), 1e-15);
  });

  it("is 0 for a constant series", () => assert.equal(movingRangeSigma([7, 7, 7]), 0));

  it("says how many points are missing, and where a bad value is", () => {
    assert.throws(
      () => movingRangeSigma([1]),
      (e) => e instanceof TooFewPointsError && e.detail.got === 1,
    );
    assert.throws(
      () => movingRangeSigma([1, Number.NaN]),
      (e) => e instanceof NonFiniteValueError && e.detail.index === 1,
    );
  });
});

describe("individuals chart", () => {
  it("takes two points: centre between them, sigma from their difference", () => {
    const limits = fitIndividualsBaseline(points(1, 3));
    const sigma = 2 / (2 / Math.sqrt(Math.PI));
    assert.equal(limits.centre, 2);
    assertClose(limits.sigma, sigma, 1e-15);
    assertClose(limits.upper, 2 + 3 * sigma, 1e-15);
    assert.deepEqual([limits.count, limits.fromDay, limits.toDay], [2, 0, 7]);
  });

  it("keeps its limits whatever comes afterwards", () => {
    const limits = fitIndividualsBaseline(points(1, 2, 1, 2, 1));
    const kept = structuredClone(limits);
    const judged = judgeIndividuals(points(1, 2, 1, 2, 1, 50, -50), limits);
    assert.deepEqual(limits, kept);
    assert.deepEqual(
      judged.map((p) => p.beyond),
      [false, false, false, false, false, true, true],
    );
    assert.deepEqual(
      judged.map((p) => p.movingRangeBeyond),
      [false, false, false, false, false, true, true],
    );
  });

  it("counts a point on the limit as within", () => {
    const limits = fitIndividualsBaseline(points(1, 3));
    const [on, above] = judgeIndividuals(points(limits.upper, limits.upper + 1e-9), limits);
    assert.equal(on?.beyond, false);
    assert.equal(above?.beyond, true);
  });

  it("has no moving range at the first point, and takes equal times and no points at all", () => {
    const limits = fitIndividualsBaseline([
      { day: 5, value: 1 },
      { day: 5, value: 2 },
    ]);
    assert.equal(judgeIndividuals(points(1), limits)[0]?.movingRange, null);
    assert.deepEqual(judgeIndividuals([], limits), []);
  });

  it("says why there are no limits", () => {
    assert.throws(() => fitIndividualsBaseline(points(1)), TooFewPointsError);
    assert.throws(() => fitIndividualsBaseline(points(0.1, 0.1, 0.1)), NoScatterError);
    assert.throws(() => fitIndividualsBaseline(points(1, Number.NaN)), NonFiniteValueError);
    assert.throws(() => fitIndividualsBaseline(points(1, 2), 0), RangeError);
    const backwards = [
      { day: 2, value: 1 },
      { day: 1, value: 2 },
    ];
    assert.throws(() => fitIndividualsBaseline(backwards), OutOfOrderError);
  });
});
