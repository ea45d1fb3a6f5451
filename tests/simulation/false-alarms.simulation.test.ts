import assert from "node:assert/strict";
import { describe, it } from "vitest";
import type { FleetFigures } from "../../analysis/drift/figures.ts";
import { fitFleet } from "../../analysis/drift/fit-fleet.ts";
import type { FleetChecks } from "../../analysis/fleet.ts";
import { watchFleet } from "../../analysis/watch/watch-fleet.ts";
import { QUIET_WEEKS_A_MONTH, quietFleet, REPEATABILITY, SHARED } from "./quiet-fleet.ts";
import { simulateFleet, USUAL_LAWS } from "./simulated-fleet.ts";

const RULES = { perMonthPer100Units: 1, kept: [] };

/** What a fleet would be known to be that stays where it is: nothing wanders, drifts or is shared. */
function stillFigures(fleet: FleetChecks): FleetFigures {
  const fitted = fitFleet(quietFleet(10, 10, 1));
  const none = new Array<number>(9).fill(1e-12);
  const { shared, population } = fitted;
  return {
    ...fitted,
    population: {
      ...population,
      kindShare: population.kindShare.map(() => 0),
      wander: [0, 0, 0, 0],
      soundMean: none,
      soundVariance: [0.12 ** 2, 0.2 ** 2, 0.1 ** 2, ...none.slice(3)],
      proportional: SHARED ** 2,
      temperature: 1e-9,
    },
    shared: {
      ...shared,
      value: shared.value.map(() => 0),
      blocks: [],
      newVariance: Object.fromEntries(Object.keys(shared.newVariance).map((cause) => [cause, 1e-9])),
    },
    repeatability: Object.fromEntries(fleet.units.map(({ instrument }) => [instrument, REPEATABILITY ** 2])),
  };
}

describe("the fleet's budget of false alarms, by simulation", () => {
  it("is kept within a quarter by a fleet in control", () => {
    let signals = 0;
    let allowed = 0;
    for (const seed of [1, 2, 3, 4]) {
      const [units, weeks] = [300, 100];
      const fleet = quietFleet(units, weeks, seed);
      const watch = watchFleet(fleet, stillFigures(fleet), RULES);
      assert.equal(watch.budget?.falseAlarmsPerMonth, 3);
      signals += watch.signals.length;
      allowed += (watch.budget.falseAlarmsPerMonth * weeks) / QUIET_WEEKS_A_MONTH;
    }
    // 276 are allowed in all; chance alone makes that 276 +- 17.
    assert.ok(Math.abs(signals / allowed - 1) < 0.25, `${signals} signals of ${allowed} allowed`);
  });

  /** Signals raised and allowed, over fleets whose figures are learned from their own checks. */
  function learned(fleets: readonly FleetChecks[], months: (fleet: FleetChecks) => number) {
    let [signals, allowed] = [0, 0];
    for (const fleet of fleets) {
      const watch = watchFleet(fleet, fitFleet(fleet), RULES);
      signals += watch.signals.length;
      allowed += watch.budget!.falseAlarmsPerMonth * months(fleet);
      assert.ok(watch.review.length <= 1, `${watch.review.length} sound units to be reviewed`);
    }
    return { ratio: signals / allowed, said: `${signals} signals of ${allowed.toFixed(0)} allowed` };
  }

  it("is kept within a quarter where the fleet's figures have to be learned", () => {
    const fleets = [5, 6, 7, 8].map((seed) => quietFleet(120, 90, seed));
    const { ratio, said } = learned(fleets, () => 90 / QUIET_WEEKS_A_MONTH);
    assert.ok(Math.abs(ratio - 1) < 0.25, said);
  });

  it("is kept within a quarter where units wander, lots and baths differ, and services restart everything", () => {
    const sound = { span: 0, zero: 0, friction: 0, curvature: 0, acceleration: 0 };
    const laws = { ...USUAL_LAWS, share: sound, stepsPerYear: 0, strayShare: 0.001, years: 2, units: 160 };
    const fleets = [31, 37, 38].map((seed) => simulateFleet({ ...laws, checkDays: [14, 30] }, seed).fleet);
    const { ratio, said } = learned(fleets, () => 24);
    assert.ok(Math.abs(ratio - 1) < 0.25, said);
  });

  it("leaves room to find what does happen, and to tell what it is", () => {
    const fleet = quietFleet(120, 60, 6, (unit) => {
      if (unit === 3) return { afterChecks: 30, span: 2.8 };
      if (unit === 7) return { afterChecks: 30, spanPerCheck: 0.08 };
      if (unit === 11) return { afterChecks: 30, scatter: 3 };
      return null;
    });
    const { signals, review } = watchFleet(fleet, fitFleet(fleet), RULES);
    const dayOf = (unit: number, check: number) => fleet.units[unit]!.readings.day[3 * check]!;
    const of = (unit: number) =>
      signals.filter(({ instrument }) => instrument === fleet.units[unit]!.instrument);
    const step = of(3).find(({ chart, quantity }) => chart === "step" && quantity === "span");
    assert.ok(step && step.onDay <= dayOf(3, 31) && Math.abs(step.change - 2.8) < 1, JSON.stringify(step));
    assert.equal(step.betweenDays?.[1], dayOf(3, 30));
    const level = of(7).find(({ chart, quantity }) => chart === "level" && quantity === "span");
    assert.ok(level && level.size > 0 && level.onDay < dayOf(7, 48), JSON.stringify(of(7)));
    assert.ok(of(11).some(({ chart, quantity }) => chart === "scatter" && quantity === "nonlinearity"));
    assert.ok(review.some(({ instrument }) => instrument === fleet.units[7]!.instrument));
  });

  it("keeps limits: a later run uses them as they are, whatever it would find itself", () => {
    const fleet = quietFleet(12, 30, 7);
    const figures = fitFleet(fleet);
    const first = watchFleet(fleet, figures, RULES);
    // Six quantities a life and twelve units; the empty life before the first service has none.
    assert.equal(first.newLimits.length, 72);
    const moved = first.newLimits.map((limits) => ({ ...limits, mean: limits.mean + 50 }));
    const later = watchFleet(fleet, figures, { ...RULES, kept: moved });
    assert.equal(later.newLimits.length, 0);
    assert.ok(later.signals.filter(({ chart }) => chart === "level").length > 60);
    assert.deepEqual(watchFleet(fleet, figures, { ...RULES, kept: first.newLimits }).signals, first.signals);
  });

  it("answers with nothing for a fleet without checks", () => {
    const fleet = { ...quietFleet(3, 12, 8), units: [] };
    const figures = fitFleet(quietFleet(3, 12, 8));
    assert.deepEqual(watchFleet(fleet, figures, RULES), {
      budget: null,
      signals: [],
      review: [],
      newLimits: [],
    });
  });
});
