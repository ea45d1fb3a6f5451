import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { type ChartDesign, chartDesign } from "../../../analysis/watch/design.ts";
import type { LifeSeries } from "../../../analysis/watch/life-series.ts";
import { fitLimits, type StreamLimits } from "../../../analysis/watch/limits.ts";
import type { Movement } from "../../../analysis/watch/movement.ts";
import { QUANTITIES } from "../../../analysis/watch/quantities.ts";
import { StreamChart } from "../../../analysis/watch/stream-chart.ts";
import { type Random, seededRandom } from "../../support/random.ts";

const NONLINEARITY = QUANTITIES.indexOf("nonlinearity");

/** Units that stay where they are; values scatter with a standard deviation of 1. */
const STILL: Movement = { startMean: 0, startVariance: 0.25, soundRate: 1e-9, anyRate: 1e-9, wander: 0 };

/** One life with weekly checks, `course` added to a start and independent scatter. */
function life(
  random: Random,
  checks: number,
  course: (k: number) => number,
  sd = (_k: number) => 1,
  startSd = 0.5,
): LifeSeries {
  const start = startSd * random.normal();
  const value = Float64Array.from({ length: checks }, (_, k) => start + course(k) + sd(k) * random.normal());
  const empty = new Float64Array(checks).fill(Number.NaN);
  const day = Float64Array.from({ length: checks }, (_, k) => 7 * k);
  return {
    checks: { year: day.map((d) => d / 365.25), startDay: 0, startKnown: true } as LifeSeries["checks"],
    day,
    value: QUANTITIES.map((_, q) => (q === NONLINEARITY ? value : empty)),
    variance: QUANTITIES.map(() => new Float64Array(checks).fill(1)),
    scatterDf: 40,
    baselineFromDay: 0,
    movement: QUANTITIES.map((_, q) => (q === NONLINEARITY ? STILL : null)),
  };
}

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
  rateVariance: 0,
  wanderVariance: 0,
};

function signalsOf(series: LifeSeries, design: ChartDesign, limits: StreamLimits | null = null) {
  const chart = new StreamChart();
  const fitted = limits ?? fitLimits(series, NONLINEARITY, { ...design, strayShare: 0, moving: 1 });
  chart.run(series, NONLINEARITY, new Uint8Array(series.day.length), fitted, design, 1);
  return chart.signals;
}

/** Checks from the 20th to the first signal, on average; those never found count as the whole life. */
function delay(design: ChartDesign, course: (k: number) => number, limits: StreamLimits | null): number {
  const random = seededRandom(11);
  const [lives, checks, after] = [400, 320, 20];
  let sum = 0;
  for (let i = 0; i < lives; i++) {
    const series = life(random, checks, course, undefined, limits ? 0 : 0.5);
    const found = signalsOf(series, design, limits).find(({ at }) => at >= after);
    sum += (found?.at ?? checks - 1) - after + 1;
  }
  return sum / lives;
}

function assertBetween(value: number, from: number, to: number, what: string): void {
  assert.ok(value > from && value < to, `${what}: ${value}`);
}

describe("the charts of one quantity, by simulation", () => {
  const design = chartDesign(1000);

  it("alarm as often as their run length says, or less, while nothing happens", () => {
    const random = seededRandom(3);
    const counts = { level: 0, step: 0, scatter: 0 };
    const [lives, checks] = [1500, 60];
    for (let i = 0; i < lives; i++) {
      for (const { chart } of signalsOf(
        life(random, checks, () => 0),
        design,
      ))
        counts[chart]++;
    }
    // The limits stand for one in 250, 40,000 and 300 checks; the scatter chart starts after 8. Level and scatter share the
    // error of their baselines, which limits allow for: fewer signal.
    const nominal = { level: 360, step: 2, scatter: 260 };
    for (const chart of ["level", "scatter"] as const) {
      const share = counts[chart] / nominal[chart];
      assert.ok(share > 0.3 && share < 1.05, `${counts[chart]} signals of the ${chart} chart`);
    }
    // Two are nominal; more than nine come once in 20,000 times.
    assert.ok(counts.step <= 9, `${counts.step} signals of the step chart`);
  });

  it("find shifts of 0.5, 1 and 2 sigma and a drift as quickly as is known of them", () => {
    const shift = (size: number) => (k: number) => (k >= 20 ? size : 0);
    // Delays of the weighted mean alone at the 250 checks that its limits stand for: 30, 8.9 and 3.4 checks, from its
    // centre; scores are clipped. Means of 400 lives are good to 5 %.
    assertBetween(delay(design, shift(0.5), KNOWN), 25, 34, "0.5 sigma, baseline known");
    assertBetween(delay(design, shift(1), KNOWN), 7.5, 10.5, "1 sigma, baseline known");
    assertBetween(delay(design, shift(2), KNOWN), 3, 5, "2 sigma, baseline known");
    // Eight checks leave the baseline uncertain by a third of sigma: shifts of that order take long.
    assertBetween(delay(design, shift(1), null), 12, 60, "1 sigma, baseline learned");
    assertBetween(delay(design, shift(2), null), 3, 8, "2 sigma, baseline learned");
    const drift = (k: number) => Math.max(0, k - 20) * 0.05;
    assertBetween(delay(design, drift, null), 14, 32, "0.05 sigma a check, baseline learned");
  });

  it("find a large step with its second check, date it to the first, and take it for a step and no scatter", () => {
    const random = seededRandom(5);
    let asScatter = 0;
    for (let i = 0; i < 50; i++) {
      const signals = signalsOf(
        life(random, 40, (k) => (k >= 20 ? 8 : 0)),
        design,
      );
      const step = signals.find(({ chart }) => chart === "step");
      assert.deepEqual([step?.from, step?.at], [20, 21]);
      assert.ok(Math.abs(step!.change - 8) < 5, String(step!.change));
      asScatter += Number(signals.some(({ chart, at }) => chart === "scatter" && at >= 20 && at < 24));
    }
    // One in 300 checks signals scatter by chance: 0.7 among 200.
    assert.ok(asScatter <= 3, `${asScatter} of 50 steps taken for scatter`);
  });

  it("take one stray check for neither", () => {
    const random = seededRandom(6);
    // A fleet in which one check in a hundred is thrown off: limits know of it.
    const known = chartDesign(1000, 0.01);
    let signals = 0;
    for (let i = 0; i < 100; i++) {
      signals += signalsOf(
        life(random, 40, (k) => (k === 20 ? 15 : 0)),
        known,
      ).filter(({ at }) => at >= 20 && at <= 22).length;
    }
    // Two in a row on one side by chance, before or after it: 2 times 2 % each.
    assert.ok(signals <= 12, `${signals} signals after 100 stray checks`);
  });

  it("find scatter that has doubled", () => {
    const random = seededRandom(7);
    let found = 0;
    for (let i = 0; i < 100; i++) {
      const series = life(
        random,
        80,
        () => 0,
        (k) => (k >= 20 ? 2 : 1),
      );
      found += Number(signalsOf(series, design).some(({ chart, at }) => chart === "scatter" && at < 60));
    }
    assert.ok(found > 80, `${found} of 100`);
  });

  it("give one signal for one departure", () => {
    const random = seededRandom(8);
    const signals = signalsOf(
      life(random, 60, (k) => (k >= 20 ? 4 : 0)),
      design,
    );
    assert.equal(signals.filter(({ chart }) => chart === "level").length, 1);
  });
});
