import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { fullScaleRangeMPaS } from "../../../analysis/index.ts";
import { demoFleet } from "../../../dashboard/demo/demo-fleet.ts";
import { ownErrorAt } from "../../../dashboard/demo/own-error.ts";
import { bathError, lotError, pieceError } from "../../../dashboard/demo/surroundings.ts";

const AS_OF = "2026-03-31";
const DAY_MS = 86_400_000;

describe("the default demo", () => {
  const fleet = demoFleet({ asOf: AS_OF });
  const truth = fleet.truth();

  it("has nine sites, 240 units and some ninety thousand readings", () => {
    assert.equal(fleet.plans.length, 240);
    assert.equal(new Set(fleet.plans.map((plan) => plan.site.name)).size, 9);
    assert.equal(new Set(fleet.plans.map((plan) => plan.instrument)).size, 240);
    assert.ok(truth.readings > 70_000 && truth.readings < 110_000, `${truth.readings} readings`);
  });

  it("tells the same story on any day: 5 to 8 % of units out or heading out, one wrong lot in use", () => {
    for (const asOf of ["2025-11-25", "2026-07-05", "2027-02-28"]) {
      const told = demoFleet({ asOf }).truth();
      const out = told.instruments.filter((unit) => unit.out).length / 240;
      assert.ok(out >= 0.05 && out <= 0.08, `${asOf}: ${out}`);
      assert.ok(
        told.instruments.some((unit) => unit.outNow),
        asOf,
      );
      const inUse = told.lots.filter((lot) => Date.parse(asOf) - Date.parse(lot.lastUse) < 7 * DAY_MS);
      assert.deepEqual(
        inUse.filter((lot) => Math.abs(lot.biasAtLastUse) > 0.6).map((lot) => lot.id),
        ["SI500-04"],
        asOf,
      );
    }
  });

  it("is mostly sound, with every fault in it", () => {
    const classes = truth.instruments.map((unit) => unit.class);
    const sound = classes.filter((name) => name === "healthy").length / 240;
    assert.ok(sound > 0.75 && sound < 0.9, `${sound} sound`);
    assert.deepEqual([...new Set(classes)].sort(), [
      "accelerating",
      "curvature",
      "friction",
      "healthy",
      "scatter",
      "span",
      "zero",
    ]);
  });

  it("checks each unit as its use asks for", () => {
    // Checks a year: working days less one in fourteen; weeks; months; ten weeks; services add a few.
    const bounds = {
      several_shifts: [215, 255],
      daily: [45, 56],
      weekly: [9, 16],
      occasional: [3, 9],
    } as const;
    for (const { plan, checks } of fleet.histories()) {
      if (Number.isFinite(plan.lastCheckBefore)) continue;
      const [first] = checks;
      assert.ok(first !== undefined, plan.instrument);
      const years = (Date.parse(AS_OF) - first.checkedAtMs) / DAY_MS / 365.25;
      if (years < 1) continue;
      const [low, high] = bounds[plan.usage];
      const aYear = checks.length / years;
      assert.ok(aYear > low && aYear < high, `${plan.instrument}: ${aYear} checks a year, ${plan.usage}`);
    }
  });

  it("ends the evening before the as-of day, with one site behind", () => {
    const last = new Map<string, number[]>();
    for (const { plan, checks } of fleet.histories()) {
      const at = checks.at(-1)?.checkedAtMs ?? 0;
      assert.ok(at < Date.parse(AS_OF), plan.instrument);
      if (plan.usage === "daily") last.set(plan.site.name, [...(last.get(plan.site.name) ?? []), at]);
    }
    const isStale = (at: number): boolean => Date.parse(AS_OF) - at > 30 * DAY_MS;
    const behind = [...last].filter(([, times]) => times.filter(isStale).length / times.length > 0.3);
    assert.equal(behind.length, 1);
  });

  it("serves some units late, and some are overdue", () => {
    const overdue = truth.instruments.filter((unit) => unit.due < AS_OF);
    assert.ok(overdue.length >= 1 && overdue.length <= 6, `${overdue.length} overdue`);
    for (const unit of overdue) assert.equal(unit.firstOut, null);
  });
});

describe("readings", () => {
  it("are the certified value, what surrounds the check, and the unit's own error", () => {
    // Without noise, what is left over is the display's rounding, the days since the last check, and rare blunders.
    const fleet = demoFleet({ asOf: AS_OF, seed: 2, noise: 0, stepsPerUnitYear: 0 });
    const asOfDay = Date.parse(AS_OF) / DAY_MS;
    const left: number[] = [];
    for (const { plan, checks, truth } of fleet.histories()) {
      const check = checks.at(-1);
      if (check === undefined || asOfDay - check.checkedAtMs / DAY_MS > 8 || check.temperatureC === null)
        continue;
      const day = check.checkedAtMs / DAY_MS;
      const piece = plan.pieces.find(({ geometry }) => geometry === check.geometry);
      const operator = plan.site.operators.find(({ name }) => name === check.operator);
      assert.ok(piece !== undefined && operator !== undefined);
      const offset = check.temperatureC - 25 + bathError(plan.site, day);
      const value =
        check.lot.certifiedMPaS *
        (1 + lotError(check.lot, day) / 100) *
        Math.exp((check.lot.coefficient * offset) / 100) *
        (1 + pieceError(piece, day) / 100) *
        (1 + operator.errorPercent / 100);
      for (const reading of check.readings) {
        const range = fullScaleRangeMPaS(piece.size, plan.fullScaleTorqueUnm, reading.speedRpm);
        assert.ok(Math.abs(reading.fullScaleRangeMPaS / range - 1) < 1e-4);
        assert.ok(Math.abs(reading.torquePercent - (100 * reading.readingMPaS) / range) < 0.15);
        const error = (100 * (reading.readingMPaS - value)) / range;
        left.push(Math.abs(error - ownErrorAt(truth.state, (100 * value) / range)));
      }
    }
    left.sort((a, b) => a - b);
    assert.ok(left.length > 150);
    // Rounding to four digits is at most 0.05 % of full scale; a week of wander is some 0.03 %.
    assert.ok(
      (left[Math.floor(left.length / 2)] as number) < 0.05,
      `median ${left[Math.floor(left.length / 2)]}`,
    );
    assert.ok(
      (left[Math.floor(left.length * 0.9)] as number) < 0.2,
      `9 of 10 below ${left[Math.floor(left.length * 0.9)]}`,
    );
  });

  it("lie in the low, medium and high band, with two fluids on some units", () => {
    const fleet = demoFleet({ asOf: AS_OF, units: 60, seed: 5 });
    let several = 0;
    for (const { checks } of fleet.histories()) {
      const fluids = new Set(checks.map((check) => check.lot.product.code));
      if (fluids.size > 1) several++;
      for (const { readings, lot } of checks) {
        for (const reading of readings) {
          const torque = (100 * lot.certifiedMPaS) / reading.fullScaleRangeMPaS;
          assert.ok(torque > 11 && torque < 100, `${torque} %`);
        }
      }
    }
    assert.ok(several > 5, `${several} units with two fluids`);
  });
});

describe("demoFleet", () => {
  it("makes a sparse fleet with monthly to quarterly checks", () => {
    const fleet = demoFleet({ asOf: AS_OF, units: 60, checks: "sparse" });
    for (const { checks } of fleet.histories()) assert.ok(checks.length < 3 * 14, `${checks.length} checks`);
  });

  it("keeps one unit in memory at a time, however many there are", () => {
    let largest = 0;
    let units = 0;
    for (const { checks } of demoFleet({ asOf: AS_OF, units: 2000, years: 1 }).histories()) {
      units++;
      largest = Math.max(largest, checks.length);
    }
    assert.equal(units, 2000);
    // A year of working days and the checks around two services.
    assert.ok(largest < 262 + 6, `${largest} checks in one unit's record`);
  });

  it("leaves other units as they are when there are more of them", () => {
    const record = (units: number): string => {
      const [first] = demoFleet({ asOf: AS_OF, units, seed: 6 }).histories();
      return JSON.stringify(first?.checks);
    };
    assert.equal(record(20), record(40));
  });

  it("names an option that is out of its range", () => {
    assert.throws(
      () => demoFleet({ asOf: AS_OF, units: 0 }),
      /^RangeError: units must be 1 to 100000, got 0$/,
    );
    assert.throws(() => demoFleet({ asOf: "2026-02-30" }), /as-of must be a day/);
    assert.throws(() => demoFleet({ asOf: AS_OF, noise: Number.NaN }), /noise must be 0 to 10, got NaN/);
    assert.throws(() => demoFleet({ asOf: AS_OF, driftingShare: 2 }), /drifting share must be 0 to 1, got 2/);
  });
});
