import assert from "node:assert/strict";
import { beforeAll, describe, it } from "vitest";
import { assessFleet } from "../../../analysis/assess-fleet.ts";
import type { FleetAssessment, UnitForecast } from "../../../analysis/assessment.ts";
import type { FleetFigures } from "../../../analysis/drift/figures.ts";
import { fitFleet } from "../../../analysis/drift/fit-fleet.ts";
import { followUnit } from "../../../analysis/drift/follow-unit.ts";
import { forecastContext } from "../../../analysis/drift/forecast-context.ts";
import { forecastUnit, unitInFull } from "../../../analysis/drift/forecast-unit.ts";
import { unitPosterior } from "../../../analysis/drift/unit-posterior.ts";
import { asKnownWith } from "../../../analysis/drift/unit-until.ts";
import type { FleetChecks, UnitChecks } from "../../../analysis/fleet.ts";
import { simulateFleet, USUAL_LAWS } from "../../simulation/simulated-fleet.ts";
import { unitReadings } from "../../support/unit-readings.ts";

const simulated = simulateFleet({ ...USUAL_LAWS, units: 60, sites: 2, checkDays: [30] }, 31);
const { fleet } = simulated;
let figures: FleetFigures;
let assessment: FleetAssessment;

beforeAll(() => {
  figures = fitFleet(fleet);
  assessment = assessFleet(fleet, figures);
});

const unitNamed = (name: string) => fleet.units.find((unit) => unit.instrument === name)!;
const withUnit = (unit: UnitChecks): FleetChecks => ({ ...fleet, units: [...fleet.units, unit] });
const forecastOf = (unit: UnitChecks): UnitForecast => forecastUnit(unit, withUnit(unit), figures);

/** A new unit, serviced half a year ago, that a lot without error has checked every month. */
function newUnit(errorAt: (years: number, x: number) => number, checks = 6): UnitChecks {
  const start = fleet.asOfDay - 180;
  const rows = Array.from({ length: checks }, (_, k) => k).flatMap((k) =>
    [20, 50, 85].map((torque, b) => {
      const day = start + 1 + (178 * k) / Math.max(1, checks - 1);
      const wobble = 0.05 * Math.cos(7 * k + 3 * b);
      return { day, check: k, torque, error: errorAt((day - start) / 365.25, torque / 100) + wobble };
    }),
  );
  return {
    instrument: "new",
    site: "elsewhere",
    modelClass: null,
    usage: "weekly",
    services: [{ day: start, action: "adjusted" }],
    nextServiceDueDay: fleet.asOfDay + 180,
    readings: unitReadings(rows),
  };
}

describe("a fleet assessed", () => {
  it("lists a lot that came after the fleet was learnt, unjudged, with the reason", () => {
    const first = fleet.units[0]!;
    const lot = first.readings.lot.map((_, i) => (i >= first.readings.count - 3 ? fleet.lots.length : -1));
    const later: FleetChecks = {
      ...fleet,
      lots: [...fleet.lots, { ...fleet.lots[0]!, fluidLot: "brand-new" }],
      units: [{ ...first, readings: { ...first.readings, lot } }, ...fleet.units.slice(1)],
    };
    const found = assessFleet(later, figures).lots.find((l) => l.fluidLot === "brand-new")!;
    assert.equal(found.verdict, "unjudged");
    assert.equal(found.units, 1);
    assert.ok(found.errorSd > 0);
    assert.match(found.note ?? "", /since the fleet was last learnt/);
  });

  it("lists every unit, the likeliest to leave tolerance first", () => {
    assert.equal(assessment.units.length, fleet.units.length);
    const p = assessment.units.map((u) => u.pOutBeforeService ?? -1);
    assert.deepEqual(
      p,
      [...p].sort((a, b) => b - a),
    );
  });

  it("comes to the same again, and with figures kept as text", () => {
    assert.deepEqual(assessFleet(fleet, figures), assessment);
    const kept: FleetFigures = JSON.parse(JSON.stringify(figures));
    assert.deepEqual(assessFleet(fleet, kept), assessment);
  });

  it("gives one unit's forecast alone as it does among all", () => {
    const alone = { ...fleet, units: [unitNamed("unit 00007")] };
    const among = assessment.units.find((u) => u.instrument === "unit 00007");
    assert.deepEqual(forecastUnit(unitNamed("unit 00007"), alone, figures), among);
  });

  it("names every lot in use, and every site's bath by quarter", () => {
    const used = new Set(fleet.units.flatMap((u) => [...u.readings.lot]));
    assert.equal(assessment.lots.length, used.size);
    assert.ok(assessment.baths.length >= 2 * 12);
    assert.ok(assessment.baths.every((bath) => bath.toDay > bath.fromDay && bath.kelvinSd > 0));
  });
});

describe("one unit's forecast", () => {
  it("of a unit that stays near zero is that it stays", () => {
    const forecast = forecastOf(newUnit(() => 0.1));
    assert.equal(forecast.state, "steady");
    assert.equal(forecast.pattern.name, "none");
    assert.ok(forecast.pOutBeforeService! < 0.05);
  });

  it("of a unit whose span runs away is that it leaves at high torque", () => {
    const forecast = forecastOf(newUnit((years, x) => 4.5 * years * x));
    assert.equal(forecast.state, "heading-out");
    assert.equal(forecast.band, "high");
    assert.equal(forecast.pattern.name, "span");
    assert.ok(Math.abs(forecast.shape!.span!.perYear - 4.5) < 1, `${forecast.shape!.span!.perYear}`);
    const { p05, p50, p95 } = forecast.outOn;
    assert.ok(fleet.asOfDay < p05! && p05! < p50! && p50! < p95!);
  });

  it("of a unit whose friction grows is that it leaves at low torque, reading low", () => {
    const forecast = forecastOf(newUnit((years, x) => -16 * years * Math.exp((-100 * x) / 12), 12));
    assert.equal(forecast.band, "low");
    assert.equal(forecast.pattern.name, "friction");
    assert.ok(forecast.bands!.low.now < forecast.bands!.high.now);
  });

  it("of a unit that stepped names the step and when", () => {
    const forecast = forecastOf(newUnit((years, x) => (years > 0.25 ? 0.6 + 1.2 * x : 0), 12));
    assert.equal(forecast.pattern.name, "step");
    const [step] = forecast.steps;
    const at = fleet.asOfDay - 180 + 0.25 * 365.25;
    assert.ok(step!.betweenDays[0] < at && at < step!.betweenDays[1]);
    assert.ok(Math.abs(step!.zero + 0.5 * step!.span - 1.2) < 0.3);
  });

  it("of a unit beyond tolerance is that it is out", () => {
    const forecast = forecastOf(newUnit((_, x) => 4 * x));
    assert.equal(forecast.state, "out");
    assert.ok(forecast.pOutNow! > 0.9);
  });

  it("without a check since the service rests on earlier lives and the fleet, and says so", () => {
    const unit = newUnit(() => 0.1);
    const serviced: UnitChecks = {
      ...unit,
      services: [...unit.services, { day: fleet.asOfDay - 1, action: "adjusted" }],
    };
    const forecast = forecastOf(serviced);
    assert.ok(forecast.pOutBeforeService! < 0.1);
    assert.match(forecast.note!, /No check since the last service/);
    assert.equal(forecast.basis!.checksUsed, 0);
    assert.equal(forecast.basis!.pOutBeforeServiceAlone, null);
    assert.ok(forecast.basis!.fleetWeight > 0.99);
  });

  it("without a due date says nothing about the time up to it", () => {
    for (const nextServiceDueDay of [null, Number.NaN]) {
      const forecast = forecastOf({ ...newUnit(() => 0), nextServiceDueDay });
      assert.equal(forecast.pOutBeforeService, null);
      assert.ok(forecast.pOutNow! < 0.05);
      assert.match(forecast.note!, /No date of its next service/);
    }
  });

  it("past its due date speaks of today", () => {
    const forecast = forecastOf({ ...newUnit(() => 0), nextServiceDueDay: fleet.asOfDay - 30 });
    assert.equal(forecast.pOutBeforeService, forecast.pOutNow);
  });

  it("of a unit never checked is none, and does not stop the others", () => {
    const never = { ...newUnit(() => 0), readings: unitReadings([]) };
    const all = assessFleet(withUnit(never), figures).units;
    assert.equal(all.length, fleet.units.length + 1);
    const forecast = all.at(-1)!;
    assert.equal(forecast.state, "unjudged");
    assert.equal(forecast.pOutNow, null);
    assert.match(forecast.note!, /no usable check/);
  });

  it("passes over readings that are no numbers", () => {
    const unit = newUnit(() => 0.1);
    const error = Float64Array.from(unit.readings.error);
    error[4] = Number.NaN;
    error[5] = Number.POSITIVE_INFINITY;
    const forecast = forecastOf({ ...unit, readings: { ...unit.readings, error } });
    assert.ok(forecast.pOutBeforeService! < 0.05);
  });

  it("a single wild reading does not turn it", () => {
    const unit = newUnit(() => 0.1);
    const error = Float64Array.from(unit.readings.error);
    error[10] = 5;
    const forecast = forecastOf({ ...unit, readings: { ...unit.readings, error } });
    assert.equal(forecast.state, "steady");
  });

  it("can be taken apart", () => {
    const { basis, pOutBeforeService } = forecastOf(newUnit((years, x) => 4.5 * years * x));
    assert.equal(basis!.checksUsed, 6);
    assert.equal(basis!.checksLeftOut, 0);
    assert.ok(basis!.fleetWeight < 0.5);
    assert.ok(Math.abs(basis!.explanations.reduce((sum, e) => sum + e.weight, 0) - 1) < 1e-9);
    assert.ok(Math.abs(basis!.pOutBeforeServiceAlone! - pOutBeforeService!) < 0.3);
  });
});

describe("a fleet with odd data", () => {
  const small = simulateFleet({ ...USUAL_LAWS, units: 16, sites: 2, checkDays: [60] }, 5).fleet;
  type Columns = UnitChecks["readings"];
  const withReadings = (change: (readings: Columns, unit: number) => Partial<Columns>): FleetChecks => ({
    ...small,
    units: small.units.map((unit, i) => ({
      ...unit,
      readings: { ...unit.readings, ...change(unit.readings, i) },
    })),
  });
  const none = ({ count }: Columns) => new Int32Array(count).fill(-1);

  for (const [name, odd] of [
    [
      "no temperature",
      withReadings(({ count }) => ({ temperatureOffset: new Float64Array(count).fill(Number.NaN) })),
    ],
    ["no lot, site or geometry", withReadings((r) => ({ lot: none(r), site: none(r), geometry: none(r) }))],
    ["one torque only", withReadings(({ count }) => ({ torque: new Float64Array(count).fill(50) }))],
    ["readings all alike", withReadings(({ count }) => ({ error: new Float64Array(count).fill(0.3) }))],
    ["all checks on one day", withReadings(({ day }) => ({ day: day.map(() => 20_000) }))],
    ["readings all of low weight", withReadings(({ count }) => ({ use: new Uint8Array(count).fill(2) }))],
    [
      "a unit a million per cent off",
      withReadings(({ error }, i) => (i === 0 ? { error: error.map(() => 1e6) } : {})),
    ],
    [
      "lots without coefficients",
      {
        ...small,
        lots: small.lots.map((lot) => ({ ...lot, temperatureCoefficient: null, fluidType: null })),
      },
    ],
    ["no services", { ...small, units: small.units.map((unit) => ({ ...unit, services: [] })) }],
    ["no unit", { ...small, units: [] }],
  ] as const) {
    it(`is judged all the same: ${name}`, () => {
      const { units } = assessFleet(odd);
      assert.equal(units.length, odd.units.length);
      for (const { pOutNow, pOutBeforeService } of units) {
        assert.ok(pOutNow! >= 0 && pOutNow! <= pOutBeforeService! && pOutBeforeService! <= 1);
      }
    });
  }

  it("does not let a wild unit spoil the lots of the others", () => {
    const wild = withReadings(({ error }, i) => (i === 0 ? { error: error.map((e) => e + 60) } : {}));
    const lots = (of: FleetChecks) => assessFleet({ ...of, units: of.units.slice(0) }).lots;
    const without = assessFleet({ ...small, units: small.units.slice(1) }).lots;
    for (const lot of lots(wild)) {
      const same = without.find(({ fluidLot }) => fluidLot === lot.fluidLot);
      if (same)
        assert.ok(
          Math.abs(lot.errorPercent - same.errorPercent) < 0.3,
          `${lot.fluidLot} ${lot.errorPercent}`,
        );
    }
  });

  it("says of a unit whose readings are no numbers that it was never checked", () => {
    const odd = withReadings(({ error }, i) => (i === 0 ? { error: error.map(() => Number.NaN) } : {}));
    const unit = assessFleet(odd).units.at(-1)!;
    assert.equal(unit.instrument, small.units[0]!.instrument);
    assert.equal(unit.state, "unjudged");
  });
});

describe("one unit followed", () => {
  it("comes to its forecast at its service", () => {
    const unit = newUnit((years, x) => 4.5 * years * x);
    const paths = followUnit(unit, withUnit(unit), figures);
    const forecast = forecastOf(unit);
    assert.equal(paths.pOutBy.at(-1), forecast.pOutBeforeService);
    assert.equal(paths.ahead.high.day.at(-1), unit.nextServiceDueDay);
    assert.ok(Math.abs(paths.ahead.high.p50[0]! - forecast.bands!.high.now) < 0.05);
    assert.ok(paths.past.high.day.length === 6);
    assert.ok(paths.past.high.p05.every((p, i) => p <= paths.past.high.p95[i]!));
    assert.equal(paths.errorWithoutSharedCauses.length, unit.readings.count);
  });

  it("is told in full as its forecast and its way are told by themselves", () => {
    const unit = fleet.units.find(({ services }) => services.length > 2)!;
    assert.deepEqual(unitInFull(unit, fleet, figures), {
      forecast: forecastUnit(unit, fleet, figures),
      paths: followUnit(unit, fleet, figures),
    });
  });

  it("is understood the same where its earlier lives are not gone through again", () => {
    const unit = fleet.units.find(({ services }) => services.length > 2)!;
    const context = forecastContext(fleet, figures);
    const present = unitPosterior(context, unit);
    const { life } = present;
    const before = asKnownWith(unit, life.reading[life.firstReading[2]! - 1]!, life.startDay);
    const again = unitPosterior(context, before, present);
    assert.equal(again.earlier, present.earlier);
    assert.deepEqual(again, unitPosterior(context, before));
  });
});

describe("figures learnt before", () => {
  it("serve a unit with a lot, site and geometry that they do not know", () => {
    const unit = newUnit(() => 0.3);
    const stranger = {
      ...fleet,
      lots: [
        ...fleet.lots,
        { fluidLot: "fresh", fluidType: null, temperatureCoefficient: null, expandedUncertainty: null },
      ],
      sites: [...fleet.sites, "elsewhere"],
      geometries: [...fleet.geometries, "cup 3"],
      operators: ["someone"],
    };
    const at = (value: number) => new Int32Array(unit.readings.count).fill(value);
    const readings = {
      ...unit.readings,
      lot: at(fleet.lots.length),
      site: at(fleet.sites.length),
      geometry: at(fleet.geometries.length),
      operator: at(0),
    };
    const forecast = forecastUnit({ ...unit, readings }, stranger, figures);
    const known = forecastUnit(unit, fleet, figures);
    assert.equal(forecast.state, "steady");
    // A lot of which nothing is known leaves the span more in doubt.
    assert.ok(forecast.shape!.span!.sd > known.shape!.span!.sd);
  });

  it("of a fleet without a single check are those before any data", () => {
    const empty = { ...fleet, units: [{ ...newUnit(() => 0), readings: unitReadings([]) }] };
    const { population, shared } = fitFleet(empty);
    assert.ok(population.activeShare > 0 && shared.keys.length === 0);
    assert.equal(assessFleet(empty).units[0]!.state, "unjudged");
  });
});
