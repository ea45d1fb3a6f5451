import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { type ChartDesign, chartDesign } from "../../../analysis/watch/design.ts";
import { LevelChart } from "../../../analysis/watch/level-chart.ts";
import { levelFactors } from "../../../analysis/watch/level-factor.ts";
import type { LifeSeries } from "../../../analysis/watch/life-series.ts";
import { fitLimits, type StreamLimits } from "../../../analysis/watch/limits.ts";
import { seededRandom } from "../../support/random.ts";
import { NONLINEARITY, quantityLife } from "./charted-life.ts";

/** A baseline that leaves nothing unknown: limits are data, whoever fitted them. */
const KNOWN: StreamLimits = {
  quantity: "nonlinearity",
  mean: 0,
  scale: 1,
  meanWeight: 1e9,
  df: 1e9,
  checks: 8,
  fromDay: 0,
  toDay: 49,
  centreDay: 24,
  runLength: 1000,
  strayShare: 0,
  levelFactor: 1,
  rateVariance: 0,
  wanderVariance: 0,
};

const TERMS = { runLength: 1000, strayShare: 0, levelFactor: 1, moving: 1 };

function signalsOf(series: LifeSeries, design: ChartDesign, limits: StreamLimits | null = null) {
  const chart = new LevelChart();
  chart.run(series, NONLINEARITY, limits ?? fitLimits(series, NONLINEARITY, TERMS), design, 1);
  return chart.signals;
}

/** Checks from the 20th to the first signal, on average; those never found count as the whole life. */
function delay(design: ChartDesign, course: (k: number) => number, limits: StreamLimits | null): number {
  const random = seededRandom(11);
  const [lives, checks, after] = [400, 320, 20];
  let sum = 0;
  for (let i = 0; i < lives; i++) {
    const series = quantityLife(random, checks, course, limits ? 0 : 0.5);
    const found = signalsOf(series, design, limits).find(({ at }) => at >= after);
    sum += (found?.at ?? checks - 1) - after + 1;
  }
  return sum / lives;
}

function assertBetween(value: number, from: number, to: number, what: string): void {
  assert.ok(value > from && value < to, `${what}: ${value}`);
}

describe("the level chart of one quantity, by simulation", () => {
  it("finds shifts of 0.5, 1 and 2 sigma and a drift as quickly as is known of it", () => {
    const design = chartDesign(250);
    const shift = (size: number) => (k: number) => (k >= 20 ? size : 0);
    // Delays of the weighted mean alone at a run length of 250 checks: 30, 8.9 and 3.4 checks, from its centre. Means of 400 lives are good to 5 %.
    assertBetween(delay(design, shift(0.5), KNOWN), 25, 34, "0.5 sigma, baseline known");
    assertBetween(delay(design, shift(1), KNOWN), 7.5, 10.5, "1 sigma, baseline known");
    // A score counts for 2.8 at most, which slows the largest shift.
    assertBetween(delay(design, shift(2), KNOWN), 3, 7, "2 sigma, baseline known");
    // Eight checks leave the baseline uncertain by a third of sigma: shifts of that order take long.
    assertBetween(delay(design, shift(1), null), 12, 90, "1 sigma, baseline learned");
    assertBetween(delay(design, shift(2), null), 4, 14, "2 sigma, baseline learned");
    const drift = (k: number) => Math.max(0, k - 20) * 0.05;
    assertBetween(delay(design, drift, null), 14, 36, "0.05 sigma a check, baseline learned");
  });

  it("gives one signal for one departure", () => {
    const random = seededRandom(8);
    const series = quantityLife(random, 60, (k) => (k >= 20 ? 4 : 0));
    assert.equal(signalsOf(series, chartDesign(1000)).length, 1);
  });

  it.each([
    ["still", 0, 0],
    ["wandering", 4, 0.3],
  ])(
    "with limits found by simulation, alarms as often as it may in units that are %s",
    (_, rateVariance, wander) => {
      const random = seededRandom(3);
      const movement = { startMean: 0, startVariance: 0.25, soundRate: rateVariance, anyRate: 8, wander };
      const lifeOf = (checks: number): LifeSeries => {
        const rate = Math.sqrt(rateVariance) * random.normal();
        let walk = 0;
        const course = (k: number) => {
          walk += Math.sqrt((wander * 7) / 365.25) * random.normal();
          return walk + (rate * 7 * k) / 365.25;
        };
        const series = quantityLife(random, checks, course);
        return { ...series, movement: series.movement.map((of) => of && movement) };
      };
      const perCheck = 1 / 500;
      const design = chartDesign(1000);
      const lives = Array.from({ length: 100 }, () => lifeOf(50));
      const factor = levelFactors(lives, () => ({ terms: TERMS, design }), perCheck)[NONLINEARITY]!;
      const found = chartDesign(1000, 0, factor);
      let signals = 0;
      const checks = 100_000;
      for (let i = 0; i < checks / 50; i++) signals += signalsOf(lifeOf(50), found).length;
      // 200 are meant; chance makes that 200 +- 14 here and 8 % in the simulation that the limit is from.
      assert.ok(Math.abs(signals / (checks * perCheck) - 1) < 0.25, `${signals} signals, factor ${factor}`);
      // Limits as if checks were independent give other numbers.
      assert.ok(factor < 0.97, String(factor));
    },
  );
});
