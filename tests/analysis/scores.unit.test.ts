import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { ImpossibleValueError, LengthMismatchError, TooFewPointsError } from "../../analysis/errors.ts";
import {
  areaUnderRoc,
  brierDecomposition,
  brierScore,
  brierSkill,
  crpsNormal,
  intervalScore,
  logScore,
  reliabilityBins,
  wilsonInterval,
} from "../../analysis/scores.ts";
import { assertClose } from "../support/close.ts";
import fc from "../support/property.ts";

describe("scores", () => {
  it("have no skill or order to tell where everything or nothing came", () => {
    assert.equal(brierSkill([0.2, 0.4], [false, false]), null);
    assert.equal(areaUnderRoc([0.2, 0.4], [true, true]), null);
  });

  it("stay finite for a certain forecast that failed", () => {
    assertClose(logScore([1], [false]), -Math.log(1e-12), 1e-3);
    assert.equal(brierScore([1], [false]), 1);
  });

  it("say what is wrong", () => {
    assert.throws(() => brierScore([], []), TooFewPointsError);
    assert.throws(() => brierScore([0.5], []), LengthMismatchError);
    assert.throws(() => logScore([1.5], [true]), ImpossibleValueError);
    assert.throws(() => areaUnderRoc([Number.NaN], [true]), /probability must be 0 to 1/);
    assert.throws(() => crpsNormal(0, 0, 0), ImpossibleValueError);
    assert.throws(() => intervalScore(0, 1, 0, 0.1), ImpossibleValueError);
    assert.throws(() => intervalScore(0, 0, 1, 0), RangeError);
    assert.throws(() => wilsonInterval(3, 2), ImpossibleValueError);
    assert.throws(() => wilsonInterval(0, 0), ImpossibleValueError);
  });
});

describe("reliabilityBins", () => {
  it("hold equal counts, keep ties together and join what is too small", () => {
    const probabilities = Array.from({ length: 100 }, (_, i) => i / 100);
    const outcomes = probabilities.map((p) => p > 0.5);
    assert.deepEqual(
      reliabilityBins(probabilities, outcomes, 5).map((b) => b.count),
      [20, 20, 20, 20, 20],
    );
    assert.deepEqual(
      reliabilityBins(probabilities, outcomes, 10, 30).map((b) => b.count),
      [30, 30, 40],
    );
    assert.deepEqual(
      reliabilityBins(new Array(50).fill(0.1), new Array(50).fill(false), 5).map((b) => b.count),
      [50],
    );
    assert.equal(reliabilityBins([0.3], [true]).length, 1);
  });
});

const forecasts = fc
  .array(fc.record({ p: fc.integer({ min: 0, max: 20 }).map((v) => v / 20), came: fc.boolean() }), {
    minLength: 1,
  })
  .map((list) => ({ p: list.map((f) => f.p), came: list.map((f) => f.came) }));

describe("scores, for any forecasts", () => {
  it("fall apart into reliability, resolution and uncertainty", () => {
    fc.assert(
      fc.property(forecasts, ({ p, came }) => {
        const { reliability, resolution, uncertainty } = brierDecomposition(p, came);
        assertClose(reliability - resolution + uncertainty, brierScore(p, came), 1e-12);
      }),
    );
  });

  it("lose every forecast into one bin, with a share inside its interval", () => {
    fc.assert(
      fc.property(
        forecasts,
        fc.integer({ min: 1, max: 12 }),
        fc.integer({ min: 0, max: 30 }),
        ({ p, came }, bins, least) => {
          const all = reliabilityBins(p, came, bins, least);
          assert.equal(
            all.reduce((sum, b) => sum + b.count, 0),
            p.length,
          );
          for (const b of all) assert.ok(b.count > 0 && b.lower <= b.observed && b.observed <= b.upper);
        },
      ),
    );
  });

  it("give the area as the share of pairs in the right order", () => {
    fc.assert(
      fc.property(forecasts, ({ p, came }) => {
        let pairs = 0;
        let right = 0;
        for (const [i, a] of p.entries()) {
          for (const [j, b] of p.entries()) {
            if (!came[i] || came[j]) continue;
            pairs++;
            right += a > b ? 1 : a === b ? 0.5 : 0;
          }
        }
        const area = areaUnderRoc(p, came);
        if (pairs === 0) assert.equal(area, null);
        else assertClose(area!, right / pairs, 1e-12);
      }),
    );
  });
});
