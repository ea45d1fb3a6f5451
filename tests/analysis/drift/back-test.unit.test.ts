import assert from "node:assert/strict";
import { beforeAll, describe, it } from "vitest";
import {
  type BackTest,
  backTest,
  leadTimeOf,
  type ScoredForecast,
} from "../../../analysis/drift/back-test.ts";
import type { FleetFigures } from "../../../analysis/drift/figures.ts";
import { fitFleet } from "../../../analysis/drift/fit-fleet.ts";
import { type ForecastContext, forecastContext } from "../../../analysis/drift/forecast-context.ts";
import { outcomeOf } from "../../../analysis/drift/outcomes.ts";
import { firstReadings } from "../../../analysis/drift/unit-until.ts";
import type { FleetChecks, UnitChecks } from "../../../analysis/fleet.ts";
import { simulateFleet, USUAL_LAWS } from "../../simulation/simulated-fleet.ts";
import { unitReadings } from "../../support/unit-readings.ts";

const { fleet } = simulateFleet({ ...USUAL_LAWS, units: 50, sites: 2, checkDays: [45] }, 8);

/** The fleet as known at the end of a day; the next service was planned for when it came. */
function fleetAt(day: number): FleetChecks {
  return {
    ...fleet,
    asOfDay: day,
    units: fleet.units.map((unit) => {
      const known = unit.readings.day.findIndex((on) => on >= day + 1);
      const count = known < 0 ? unit.readings.count : known;
      const next = unit.services.find((service) => service.day > day);
      return {
        ...unit,
        services: unit.services.filter((service) => service.day <= day),
        nextServiceDueDay: next?.day ?? unit.nextServiceDueDay,
        readings: firstReadings(unit.readings, count),
      };
    }),
  };
}

describe("the forecast's own record", () => {
  const days = [fleet.asOfDay - 500, fleet.asOfDay - 300];
  let figures: FleetFigures;
  let record: BackTest;

  beforeAll(() => {
    figures = fitFleet(fleet);
    record = backTest(fleet, fleetAt, days);
  });

  it("scores forecasts whose service has come, and beats the yardsticks", () => {
    assert.ok(record.forecasts.length > 60, `${record.forecasts.length} scored`);
    assert.ok(record.forecasts.every((f) => f.serviceDay <= fleet.asOfDay && f.madeOnDay < f.serviceDay));
    const { overBaseRate, overLastValue, overStraightLine } = record.skill;
    assert.ok(
      overBaseRate! > 0.3 && overLastValue! > 0 && overStraightLine! > 0.2,
      JSON.stringify(record.skill),
    );
  });

  it("counts every forecast in one bin of the reliability table", () => {
    assert.equal(
      record.reliability.reduce((sum, bin) => sum + bin.count, 0),
      record.forecasts.length,
    );
  });

  it("holds the intervals against the readings before service", () => {
    const { checks, half, ninety } = record.coverage!;
    assert.ok(checks > 150);
    // Three standard errors of the shares, readings of one check taken as one.
    assert.ok(Math.abs(half - 0.5) < 0.2 && ninety > 0.8, `${half}, ${ninety}`);
  });

  it("tells how long before the finding a unit was announced, once a service", () => {
    const made = (instrument: string, madeOnDay: number, p: number, foundOnDay: number): ScoredForecast => {
      return { instrument, madeOnDay, serviceDay: 300, p, plain: null, wentOut: true, foundOnDay };
    };
    const stayed = { ...made("D", 0, 0.9, 0), wentOut: false, foundOnDay: null };
    const lead = leadTimeOf([
      // First announced on day 60; later forecasts look more closely at when it was found.
      ...[made("A", 0, 0.3, 210), made("A", 60, 0.6, 210), made("A", 120, 0.9, 200)],
      // Announced only when it was out already.
      ...[made("B", 0, 0.2, 80), made("B", 100, 0.99, 140)],
      made("C", 0, 0.5, 100),
      stayed,
    ]);
    assert.deepEqual(lead, { wentOut: 3, announced: 2, medianDays: 140 });
    assert.deepEqual(leadTimeOf([stayed]), { wentOut: 0, announced: 0, medianDays: null });
  });

  it("of no day is empty, not an error", () => {
    const empty = backTest(fleet, fleetAt, [], () => figures);
    assert.equal(empty.brier, null);
    assert.equal(empty.coverage, null);
    assert.deepEqual(empty.reliability, []);
  });

  it("uses the figures it is given", () => {
    const again = backTest(fleet, fleetAt, [days[1]!], () => figures);
    assert.ok(again.forecasts.length > 0 && again.forecasts.every((f) => f.madeOnDay === days[1]));
  });

  describe("what became of one unit", () => {
    let today: ForecastContext;
    const made = fleet.asOfDay - 200;

    beforeAll(() => {
      today = forecastContext(fleet, figures);
    });

    /** Checked every ten days after `made` until it was serviced. */
    function unitServiced(serviceDay: number | null, errorAt: (days: number) => number): UnitChecks {
      const rows = Array.from({ length: 12 }, (_, k) => k).flatMap((k) =>
        [20, 50, 85].map((torque) => ({
          day: made - 20 + 10 * k,
          check: k,
          torque,
          error: errorAt(10 * k - 20),
        })),
      );
      return {
        instrument: "A",
        site: null,
        modelClass: null,
        usage: null,
        services: serviceDay === null ? [] : [{ day: serviceDay, action: "adjusted" }],
        nextServiceDueDay: null,
        readings: unitReadings(rows),
      };
    }

    it("that stayed in is that it was not found out", () => {
      const outcome = outcomeOf(
        today,
        unitServiced(made + 100, () => 0.2),
        made,
        made + 100,
      );
      assert.equal(outcome!.foundOnDay, null);
      assert.equal(outcome!.serviceDay, made + 100);
    });

    it("that left is the day it was found, though it was adjusted afterwards", () => {
      const outcome = outcomeOf(
        today,
        unitServiced(made + 100, (d) => Math.max(0, 0.08 * d)),
        made,
        made + 100,
      );
      const after = outcome!.foundOnDay! - made;
      // Beyond 2.2 % after 28 days; looked at every ten days or so.
      assert.ok(after >= 30 && after <= 60, `found after ${after} days`);
    });

    it("is not known before its service, nor by a service much before its date", () => {
      const quiet = () => 0.2;
      assert.equal(outcomeOf(today, unitServiced(null, quiet), made, fleet.asOfDay + 10), null);
      assert.equal(outcomeOf(today, unitServiced(made + 30, quiet), made, made + 200), null);
      assert.equal(outcomeOf(today, unitServiced(made + 100, quiet), made, null), null);
    });

    it("is known once its date has passed without a service", () => {
      assert.equal(
        outcomeOf(
          today,
          unitServiced(null, () => 0.2),
          made,
          made + 95,
        )!.serviceDay,
        made + 95,
      );
    });

    it("is not known without a check in between", () => {
      const unit = unitServiced(made + 100, () => 0.2);
      const unchecked = { ...unit, readings: firstReadings(unit.readings, 3) };
      assert.equal(outcomeOf(today, unchecked, made, made + 100), null);
    });
  });
});
