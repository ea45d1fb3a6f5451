import assert from "node:assert/strict";
import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, it } from "vitest";
import { makeWorld, type World } from "./run-command.ts";

/**
 * The whole path on records that others made for other instruments: CSV through `ingest`, out of `signals` and
 * `unit`. Sources: tests/reference-data/linewidth-calibration.json and mass-check-standard.json (NIST/SEMATECH
 * e-Handbook, 2.3.6, 2.3.7 and 2.3.5.2).
 */

type Row = readonly (string | number)[];
const csv = (header: string, rows: readonly Row[]) =>
  `${[header, ...rows.map((row) => row.join(","))].join("\n")}\n`;
const READINGS =
  "instrument,checked_at,stage,speed_rpm,reading_mpas,fluid_value_mpas,full_scale_range_mpas,temperature_c,fluid_lot";
const FLUID_VALUE = 100;

/** A reading at `torque` % that is off by `error` % of full scale. The fluid is at its temperature and exact. */
function reading(unit: string, at: Date, stage: string, torque: number, error: number): Row {
  const range = (100 * FLUID_VALUE) / torque;
  return [
    unit,
    at.toISOString(),
    stage,
    torque / 10,
    FLUID_VALUE + (error * range) / 100,
    FLUID_VALUE,
    range,
    25,
    "F",
  ];
}

async function take(world: World, folder: string, files: Readonly<Record<string, string>>): Promise<void> {
  mkdirSync(join(world.folder, folder));
  const fluids = csv(
    "fluid_lot,fluid_type,certified_mpas,temperature_coefficient_percent_per_k,reference_temperature_c,expanded_uncertainty_percent",
    [["F", "silicone", FLUID_VALUE, -2, 25, 0.1]],
  );
  for (const [name, text] of Object.entries({ ...files, "fluids.csv": fluids }))
    writeFileSync(join(world.folder, folder, name), text);
  const { exitCode, out } = await world.run(["ingest", "--json", join(world.folder, folder)]);
  assert.equal(exitCode, 0);
  assert.equal(JSON.parse(out).totals.quarantined, 0);
}

const reference = (name: string) => JSON.parse(readFileSync(`tests/reference-data/${name}.json`, "utf8"));

interface Signal {
  readonly on: string;
  readonly chart: string;
  readonly quantity: string;
  readonly size: number;
  readonly limit: number;
}

describe("a calibration line with three check standards, day 4 off on all three", () => {
  let world: World;
  beforeAll(async () => {
    world = makeWorld("2026-02-01T12:00:00Z");
    const { data, expected } = reference("linewidth-calibration");
    const { intercept, slope } = expected;
    /*
     * What becomes what:
     * - the imaging system is the unit, its calibration of 40 readings the service and the checks as left;
     * - a control value (measured - intercept) / slope - reference, in micrometres, is the error, 1 micrometre for
     *   4 % of full scale, so that the line's scatter of 0.06 comes to a viscometer's of some 0.25 %;
     * - a position on the scale is the expected torque: 12 micrometres for full scale in the calibration; low, middle
     *   and high standard at 20, 50 and 85 %, because the low one's 0.76 would lie below all use.
     */
    const error = (measured: number, position: number) => 4 * ((measured - intercept) / slope - position);
    const torqueOf: Readonly<Record<string, number>> = { L: 20, M: 50, U: 85 };
    const { calibration, check } = data;
    const rows: Row[] = [
      ...calibration.x.map((x: number, i: number) => {
        const at = new Date(Date.UTC(2026, 0, 5, 8, 15 * Math.floor(i / 10)));
        return reading("line", at, "as_left", (100 * x) / 12, error(calibration.y[i], x));
      }),
      ...check.day.map((day: number, i: number) => {
        const at = new Date(Date.UTC(2026, 0, 5 + day, 9));
        return reading(
          "line",
          at,
          "routine",
          torqueOf[check.position[i]]!,
          error(check.measured[i], check.reference[i]),
        );
      }),
    ];
    await take(world, "line", {
      "readings.csv": csv(READINGS, rows),
      "services.csv": csv("instrument,serviced_at,action", [["line", "2026-01-04", "adjusted"]]),
      "instruments.csv": csv("instrument,site,usage,next_service_due", [
        ["line", "Lab", "daily", "2027-01-04"],
      ]),
    });
  });
  afterAll(() => world.remove());

  it("signals that day, in every band, and no other", async () => {
    const { budget, signals } = JSON.parse((await world.run(["signals", "--json"])).out);
    assert.deepEqual([budget.false_alarms_per_month, budget.streams, budget.run_length], [1, 18, 180]);
    assert.deepEqual([...new Set(signals.map(({ on }: Signal) => on))], ["2026-01-09"]);
    const bands = signals.map(({ quantity }: Signal) => quantity);
    for (const band of ["low", "medium", "high"])
      assert.ok(bands.includes(band), `${band} is not among ${bands}`);
    for (const { size, limit } of signals) assert.ok(Math.abs(size) > limit);
    const before = JSON.parse((await world.run(["signals", "--json", "--as-of", "2026-01-08"])).out);
    assert.deepEqual(before.signals, []);
  });

  it("has it on the unit's own page, with the day's values in the source's order of size", async () => {
    const unit = JSON.parse((await world.run(["unit", "line", "--json"])).out);
    assert.ok(unit.signals.every(({ on }: Signal) => on === "2026-01-09"));
    const { control } = reference("linewidth-calibration").expected;
    const dayFour = ["low", "medium", "high"].map(
      (band) =>
        unit.watch
          .find(({ quantity }: Signal) => quantity === band)
          .points.find(({ on }: Signal) => on === "2026-01-09").value,
    );
    // Error over tolerance: the control value of the source, times 4, over 2.2, 2.5 and 2.85 % of full scale.
    const expected = control.w.slice(9, 12).map((w: number, i: number) => (4 * w) / [2.2, 2.5, 2.85][i]!);
    for (const [i, value] of dayFour.entries()) assert.ok(Math.abs(value - expected[i]) < 0.03);
    assert.match((await world.run(["unit", "line"])).out, /This check is off its forecast in every band/);
  });
});

describe("a mass check standard over thirteen years, with a small lasting shift", () => {
  let world: World;
  beforeAll(async () => {
    world = makeWorld("1988-12-31T12:00:00Z");
    const { data } = reference("mass-check-standard");
    /*
     * What becomes what: the balance is the unit, a calibration is a check with one reading at 85 % torque, and the
     * check standard's value against the first one is the error, 1 mg for 20 % of full scale. No service is on record,
     * so all is one life, its baseline the first eight of the 117 calibrations that the source took for one.
     */
    const rows = data.date.map((date: number, i: number) => {
      const year = 1900 + Math.floor(date);
      const start = Date.UTC(year, 0, 1);
      // Calibrations of one day come seconds apart, in the source's order.
      const at = new Date(start + (date % 1) * (Date.UTC(year + 1, 0, 1) - start) + 1000 * i);
      return reading("kilogram", at, "routine", 85, 20 * (data.value[i] - data.value[0]));
    });
    await take(world, "kilogram", {
      "readings.csv": csv(READINGS, rows),
      "instruments.csv": csv("instrument,site,usage", [["kilogram", "Lab", "occasional"]]),
    });
  });
  afterAll(() => world.remove());

  it("dates the shift to the days that the source's two-mean split has, and signals it within a month", async () => {
    const { signals } = JSON.parse((await world.run(["signals", "--json"])).out);
    const { expected } = reference("mass-check-standard");
    const splitDay = new Date(Date.UTC(1986, 0, 1) + (expected.bestSplitDate - 86) * 365 * 86_400_000);
    const level = signals.findLast(({ chart }: Signal) => chart === "level");
    assert.equal(level.quantity, "high");
    assert.ok(level.size > 0);
    const days = (Date.parse(level.on) - splitDay.getTime()) / 86_400_000;
    assert.ok(days > 0 && days < 31, `${level.on}`);

    const unit = JSON.parse((await world.run(["unit", "kilogram", "--json"])).out);
    const chart = unit.watch.find(({ quantity }: Signal) => quantity === "high");
    const split = splitDay.toISOString().slice(0, 10);
    const [last, first] = chart.likeliest_step.betweenDays;
    assert.ok(last <= split && split <= first, `${last} to ${first} does not hold ${split}`);
    assert.deepEqual(
      unit.steps.map(({ between }: { between: string[] }) => between),
      [[last, first]],
      "the fleet model's one step",
    );
    assert.ok(chart.likeliest_step.after > chart.likeliest_step.before);
  });
});
