import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { chartDesign } from "../../../analysis/watch/design.ts";
import type { LifeSeries } from "../../../analysis/watch/life-series.ts";
import { QUANTITIES, type Quantity } from "../../../analysis/watch/quantities.ts";
import { ScatterChart } from "../../../analysis/watch/scatter-chart.ts";
import { StepChart } from "../../../analysis/watch/step-chart.ts";
import { seededRandom } from "../../support/random.ts";
import { POPULATION, readingLife } from "./charted-life.ts";

const DESIGN = chartDesign(1000);
const chart = new StepChart(POPULATION);

function signalsOf(series: LifeSeries, strayShare = 0, trustsOne = false) {
  const known = new Float64Array(series.day.length);
  const terms = {
    design: chartDesign(1000, strayShare),
    scale: known.map(() => 1),
    df: known.map(() => 1e6),
  };
  chart.run(
    series,
    QUANTITIES.map(() => terms),
    trustsOne,
  );
  return QUANTITIES.flatMap((quantity, q) => chart.signals[q]!.map((signal) => ({ quantity, ...signal })));
}

const named = (signals: ReturnType<typeof signalsOf>, quantity: Quantity) =>
  signals.filter((signal) => signal.quantity === quantity);

describe("the step charts of a life, by simulation", () => {
  it("find a large step with its second check, date it to the first and say how large it is", () => {
    const random = seededRandom(5);
    let asMeant = 0;
    for (let i = 0; i < 40; i++) {
      const signals = signalsOf(readingLife(random, 40, 7, (x, k) => (k >= 20 ? 2.4 * x : 0)));
      const [span] = named(signals, "span");
      assert.ok(span && span.from >= 20 && span.at <= 22);
      assert.ok(Math.abs(span.change - 2.4) < 1, String(span.change));
      asMeant += Number(span.from === 20 && span.at === 21);
    }
    // By chance a check is off in zero too and says it at once, or the check before was off already: one in 100 each.
    assert.ok(asMeant >= 37, `${asMeant} of 40`);
  });

  it("signal a shift of zero that all bands show with its first check", () => {
    const random = seededRandom(9);
    for (let i = 0; i < 20; i++) {
      const [zero] = named(signalsOf(readingLife(random, 30, 7, (_, k) => (k >= 20 ? 1.5 : 0))), "zero");
      assert.deepEqual([zero?.from, zero?.at], [20, 20]);
    }
  });

  it("take bad filling for no step: in proportion to torque, and gone with the next check", () => {
    const random = seededRandom(10);
    for (let i = 0; i < 50; i++) {
      const series = readingLife(random, 30, 7, (x, k) => (k === 20 ? -2.5 * x : 0));
      assert.deepEqual(signalsOf(series), []);
      // Where nobody fills badly, it is worth a signal.
      assert.ok(signalsOf(series, 0, true).every(({ at }) => at === 20));
    }
  });

  it("take one stray reading for no step", () => {
    const random = seededRandom(6);
    let signals = 0;
    for (let i = 0; i < 100; i++) {
      const series = readingLife(random, 40, 7, (x, k) => (k === 20 && x < 0.3 ? 3 : 0));
      signals += signalsOf(series, 0.01).filter(({ at }) => at >= 20 && at <= 22).length;
    }
    assert.ok(signals <= 3, `${signals} signals after 100 stray readings`);
  });

  it("are quiet on units that drift, whatever the torques of a check: the forecast drifts along", () => {
    const random = seededRandom(12);
    const friction = (x: number) => -Math.exp((-100 * x) / 12);
    const ways: readonly ((x: number, t: number) => number)[] = [
      (_, t) => 2.5 * t,
      (x, t) => -5 * x * t,
      (x, t) => 13 * t * friction(x),
      (x, t) => 4 * t * 4 * (x * x - x),
      (x, t) => 3.5 * x * t * t,
    ];
    const signals = ways.map((way) => {
      let count = 0;
      for (let i = 0; i < 20; i++) {
        const series = readingLife(random, i % 2 ? 12 : 52, i % 2 ? 30 : 7, (x, _, t) => way(x, t));
        count += new Set(signalsOf(series).map(({ at }) => at)).size;
      }
      return count;
    });
    // 20 unit-years each; a step chart for 40,000 checks, six charts: 0.1 are nominal in each.
    assert.ok(Math.max(...signals) <= 1, signals.join(", "));
  });

  it("alarm as seldom as their run length says while nothing happens", () => {
    const random = seededRandom(13);
    let signals = 0;
    const [lives, checks] = [800, 60];
    for (let i = 0; i < lives; i++) {
      signals += new Set(signalsOf(readingLife(random, checks, 7, () => 0)).map(({ at }) => at)).size;
    }
    // 48,000 checks of six quantities at one in 40,000: 7 nominal, and fewer, as the charts see the same readings.
    assert.ok(signals <= 14, `${signals} signals`);
    assert.equal(DESIGN.pair > DESIGN.check, true);
  });
});

describe("the scatter chart", () => {
  const chart = new ScatterChart();
  const none = new Uint8Array(200);

  it("finds scatter that has doubled, and alarms by chance as its run length says", () => {
    const random = seededRandom(7);
    let found = 0;
    let early = 0;
    for (let i = 0; i < 200; i++) {
      const z = Float64Array.from({ length: 100 }, (_, k) => (k >= 40 ? 2 : 1) * random.normal());
      chart.run(z, z, none, 100, 8, DESIGN);
      early += chart.signals.filter(({ at }) => at < 40).length;
      found += Number(chart.signals.some(({ at }) => at >= 40 && at < 80));
    }
    assert.ok(found > 180, `${found} of 200`);
    // 6,400 checks at one in 300: 21; the start at 0 spares some.
    assert.ok(early > 5 && early < 32, `${early} by chance`);
  });

  it("takes a step for no scatter", () => {
    const random = seededRandom(8);
    const z = Float64Array.from({ length: 60 }, (_, k) =>
      k === 30 || k === 31 ? 12 : 0.5 * random.normal(),
    );
    const second = new Uint8Array(60);
    second[31] = 1;
    chart.run(z, null, second, 60, 8, DESIGN);
    assert.ok(chart.sum[31]! < 1 && chart.signals.length === 0);
  });

  it("tells scatter within checks from scatter between them", () => {
    const random = seededRandom(14);
    const told = { within: 0, between: 0, wrong: 0 };
    for (let i = 0; i < 100; i++) {
      const isWithin = i % 2 === 0;
      const bend = Float64Array.from(
        { length: 80 },
        (_, k) => (isWithin && k >= 20 ? 2 : 1) * random.normal(),
      );
      const span = Float64Array.from({ length: 80 }, (_, k) => (k >= 20 ? 2 : 1) * random.normal());
      chart.run(span, bend, none, 80, 8, DESIGN);
      const signal = chart.signals.find(({ at }) => at > 20);
      if (!signal) continue;
      // After few checks it is too early to say.
      if (signal.withinCheck === null) continue;
      if (signal.withinCheck !== isWithin) told.wrong++;
      else told[isWithin ? "within" : "between"]++;
    }
    assert.ok(told.within > 15 && told.between > 15 && told.wrong <= 5, JSON.stringify(told));
  });
});
