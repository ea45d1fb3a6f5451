import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { fitFleet } from "../../../analysis/drift/fit-fleet.ts";
import { forecastContext } from "../../../analysis/drift/forecast-context.ts";
import { lifeSeries } from "../../../analysis/watch/life-series.ts";
import { watchFleet } from "../../../analysis/watch/watch-fleet.ts";
import { quietFleet } from "../../simulation/quiet-fleet.ts";

const CHECKS = 40;
// A unit that has shifted half-way: against its first baseline it signals, against the new one it does not.
const fleet = quietFleet(12, CHECKS, 3, (unit) => (unit === 4 ? { afterChecks: 20, span: 2.8 } : null));
const figures = fitFleet(fleet);
const shifted = fleet.units[4]!;
const dayOf = (check: number) => shifted.readings.day[3 * check]!;
const cutAt = (...days: number[]) => ({ ...shifted, baselineFromDays: days });
const partsOf = (...days: number[]) =>
  lifeSeries(forecastContext(fleet, figures), cutAt(...days)).filter(({ day }) => day.length > 0);

describe("a life whose limits somebody had fitted anew", () => {
  it("is charted in parts, each with its own checks and the days on which it begins", () => {
    const [day1, day2] = [Math.floor(dayOf(20)), Math.floor(dayOf(30))];
    const parts = partsOf(day2, day1);
    assert.deepEqual(
      parts.map(({ day }) => day.length),
      [20, 10, 10],
    );
    assert.deepEqual(
      parts.map(({ baselineFromDay }) => baselineFromDay),
      [shifted.services[0]!.day, day1, day2],
    );
    assert.equal(parts[1]!.day[0], dayOf(20));
    const whole = partsOf()[0]!;
    assert.deepEqual(
      parts.flatMap(({ value }) => [...value[1]!]),
      [...whole.value[1]!],
    );
  });

  it("is left whole by days before its first check and after its last", () => {
    const days = [dayOf(0) - 5, dayOf(CHECKS - 1) + 5];
    const parts = partsOf(...days);
    assert.deepEqual(
      parts.map(({ day }) => day.length),
      [CHECKS],
    );
    assert.equal(parts[0]!.baselineFromDay, shifted.services[0]!.day);
  });

  it("is judged by the new limits from that day on, and the old ones stay among those kept", () => {
    const rules = { perMonthPer100Units: 1, kept: [] };
    const units = fleet.units.map((unit) => (unit === shifted ? cutAt(Math.floor(dayOf(20))) : unit));
    const before = watchFleet(fleet, figures, rules);
    const after = watchFleet({ ...fleet, units }, figures, rules);
    const late = ({ signals }: typeof before) =>
      signals.filter(
        ({ instrument, onDay, size }) => instrument === shifted.instrument && onDay >= dayOf(20) && size > 0,
      );
    assert.ok(late(before).length > 0);
    assert.deepEqual(late(after), []);
    const spans = after.newLimits.filter((l) => l.instrument === shifted.instrument && l.quantity === "span");
    assert.deepEqual(
      spans.map(({ lifeFromDay }) => lifeFromDay),
      [shifted.services[0]!.day, Math.floor(dayOf(20))],
    );
    assert.ok(Math.abs(spans[1]!.mean - spans[0]!.mean - 2.8) < 0.5);
  });
});
