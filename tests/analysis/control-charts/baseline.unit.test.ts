import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { ewmaLimit } from "../../../analysis/control-charts/alarm-limits.ts";
import { type BaselinePrior, learnBaseline, levelChart } from "../../../analysis/control-charts/baseline.ts";
import { BASELINE_CHECKS } from "../../../analysis/control-charts/individuals.ts";
import { AnalysisError, OutOfOrderError, TooFewPointsError } from "../../../analysis/errors.ts";
import { assertClose } from "../../support/close.ts";
import fc from "../../support/property.ts";
import { seededRandom } from "../../support/random.ts";
import { againstSource } from "../../support/reference-table.ts";

const prior: BaselinePrior = { mean: 0, sd: 0.3, meanWeight: 4, df: 10 };
const points = (values: readonly number[]) => values.map((value, day) => ({ day, value }));
const five = points([0.1, 0.35, 0.2, 0.62, 0.55]);

describe("learnBaseline", () => {
  it("gives the worked scores, with the fleet's knowledge and without", () => {
    const withPrior = learnBaseline(five, prior).z.map(Number);
    const printed = { absolute: 6e-7 };
    const source = "five checks, worked by hand";
    againstSource(
      "scores from the fleet's prior",
      source,
      [0.290156, 1.000868, 0.391583, 1.641723, 1.179291],
      withPrior,
      printed,
    );
    const { z } = learnBaseline(five, null);
    assert.deepEqual(z.slice(0, 2), [null, null]);
    againstSource(
      "scores without a prior (Hawkins 1987)",
      source,
      [-0.091855, 1.602847, 0.796136],
      z.slice(2).map(Number),
      printed,
    );
  });

  it("comes to the checks' own mean and scatter without a prior", () => {
    const { baseline } = learnBaseline(five, null);
    assertClose(baseline.mean, 0.364, 1e-12);
    assertClose(
      baseline.sd,
      Math.sqrt([0.264, 0.014, 0.164, 0.256, 0.186].reduce((s, d) => s + d * d, 0) / 4),
      1e-12,
    );
    assert.deepEqual([baseline.df, baseline.count, baseline.fromDay, baseline.toDay], [4, 5, 0, 4]);
  });

  it("does not learn from a check that signals", () => {
    const wild = learnBaseline(points([0.1, 9, 0.2]), prior, 3);
    const tame = learnBaseline(points([0.1, 0.2]), prior, 3);
    assert.ok(Number(wild.z[1]) > 3);
    assert.equal(wild.baseline.mean, tame.baseline.mean);
    assert.equal(wild.baseline.count, 2);
  });

  it("stays finite for a huge outlier, equal values and equal times", () => {
    assert.ok(Number.isFinite(learnBaseline(points([0, 1e100]), prior).z[1]));
    assert.deepEqual(learnBaseline(points([2, 2, 2]), null).z, [null, null, null]);
    assert.equal(learnBaseline([five[0]!, five[0]!], prior).baseline.count, 2);
  });

  it("says what is wrong", () => {
    assert.throws(() => learnBaseline([], prior), TooFewPointsError);
    assert.throws(() => learnBaseline(points([1]), null), TooFewPointsError);
    assert.throws(() => learnBaseline([...five].reverse(), prior), OutOfOrderError);
    assert.throws(() => learnBaseline(five, { ...prior, sd: 0 }), /sd must be above 0/);
  });

  it("answers in full or says why not", () => {
    const value = fc.oneof(
      fc.double({ min: -1e6, max: 1e6, noNaN: true }),
      fc.constantFrom(Number.NaN, 5, 5, 5),
    );
    fc.assert(
      fc.property(fc.array(value, { maxLength: 15 }), fc.boolean(), (values, known) => {
        try {
          const { baseline, z } = learnBaseline(points(values), known ? prior : null);
          assert.ok(z.every((score) => score === null || Number.isFinite(score)));
          const chart = levelChart(points(values), baseline, 0.2, 3);
          assert.ok(chart.every((p) => Number.isFinite(p.z) && p.limit > 0));
        } catch (error) {
          assert.ok(error instanceof AnalysisError, String(error));
        }
      }),
    );
  });
});

describe("levelChart", () => {
  it("widens its limit by what is not known of the baseline's mean", () => {
    const { baseline } = learnBaseline(five, prior);
    const chart = levelChart(points(new Array(400).fill(baseline.mean)), baseline, 0.2, 3);
    assertClose(chart[0]!.limit, 3 * Math.sqrt(0.04 + 0.04 / 9), 1e-12);
    assertClose(chart.at(-1)!.limit, 3 * Math.sqrt(0.2 / 1.8 + 1 / 9), 1e-9);
    assert.ok(chart.every((p) => p.ewma === 0 && !p.beyond));
  });

  it("alarms rarely for undisturbed units and finds a slow drift, by simulation", () => {
    const limit = ewmaLimit(0.2, 500);
    const shareThatAlarm = (drift: number) => {
      const random = seededRandom(5);
      let alarmed = 0;
      const units = 400;
      for (let unit = 0; unit < units; unit++) {
        const level = 0.5 * random.normal();
        const checks = points(Array.from({ length: 60 }, (_, i) => level + drift * i + random.normal()));
        const known = { mean: 0, sd: 1, meanWeight: 4, df: 10 };
        const { baseline } = learnBaseline(checks.slice(0, BASELINE_CHECKS), known);
        const chart = levelChart(checks.slice(BASELINE_CHECKS), baseline, 0.2, limit);
        alarmed += Number(chart.some((p) => p.beyond));
      }
      return alarmed / units;
    };
    // Nominal 11 % within 60 checks; 400 units give 1.6 %.
    const [still, drifting] = [shareThatAlarm(0), shareThatAlarm(0.03)];
    assert.ok(still > 0.02 && still < 0.14, `${still} of undisturbed units alarm`);
    assert.ok(drifting > 0.75, `${drifting} of drifting units are found`);
  });

  it("names a weight or limit that cannot be", () => {
    const { baseline } = learnBaseline(five, prior);
    assert.throws(() => levelChart(five, baseline, 1.2, 3), /weight must be at most 1/);
    assert.throws(() => levelChart(five, baseline, 0.2, 0), /limitSigma must be above 0/);
  });
});
