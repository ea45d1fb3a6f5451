import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { READING_COLUMNS } from "../../../ingest/columns/columns.ts";
import { ISO_IN_UTC, TimeReader } from "../../../ingest/columns/parse-time.ts";
import {
  draftReading,
  type ReadingContext,
  type ReadingText,
  writtenReading,
} from "../../../ingest/readings/draft.ts";
import { RangeConstants } from "../../../ingest/readings/range-constants.ts";
import { judge } from "../../../ingest/readings/sense-checks.ts";
import type { FluidRecord, GeometryRecord, InstrumentRecord } from "../../../ingest/store/store.ts";
import { NOW } from "../support/scratch.ts";

const lot: FluidRecord = {
  fluidLot: "LOT-1",
  fluidType: "silicone",
  nominalMPaS: 100,
  certifiedMPaS: 95,
  expandedUncertaintyPercent: 0.5,
  referenceTemperatureC: 25,
  temperatureCoefficientPercentPerK: -2,
  expiresOn: "2026-12-31",
};
const spring: InstrumentRecord = {
  instrument: "U-2",
  site: null,
  modelClass: null,
  fullScaleTorqueUnm: 900,
  usage: null,
  inServiceSince: null,
  lastService: null,
  nextServiceDue: null,
};
const cup: GeometryRecord = {
  geometry: "cup-B",
  bobRadiusMm: 12.5,
  cupRadiusMm: 13.55875,
  bobLengthMm: 37.5,
  endFactor: 1.1,
};

/** U-1 with cup-A is known, by its checks, to have 200 mPa·s at 60 min⁻¹; U-2 with cup-B, by its measures, 265.4. */
const ranges = new RangeConstants();
for (let day = 0; day < 6; day++) ranges.learn("U-1", "cup-A", 60 * 200, day);

const context: ReadingContext = {
  registers: {
    instruments: new Map([["U-2", spring]]),
    fluids: new Map([["LOT-1", lot]]),
    geometries: new Map([["cup-B", cup]]),
  },
  ranges,
  times: new TimeReader(ISO_IN_UTC),
  nowMs: NOW,
  decimal: ".",
  toOwnUnit: {},
  stageWords: new Map([["vorher", "as_found"]]),
};

const blank = Object.fromEntries(READING_COLUMNS.map((column) => [column, ""])) as ReadingText;
const good: ReadingText = {
  ...blank,
  instrument: "U-1",
  checked_at: "2026-03-01T10:00:00Z",
  speed_rpm: "60",
  reading_mpas: "95.6",
  fluid_value_mpas: "95",
  full_scale_range_mpas: "200",
  torque_percent: "47.8",
  temperature_c: "25.03",
  geometry: "cup-A",
};

const draftOf = (text: ReadingText) => draftReading(writtenReading(text, context), context);
const against = (changes: Partial<ReadingText>) => judge(draftOf({ ...good, ...changes }), context);
const reasonFor = (changes: Partial<ReadingText>) => against(changes)?.reason ?? null;

describe("judge", () => {
  it("has nothing against a sound reading", () => {
    assert.equal(against({}), null);
  });

  it("unreadable-row: a stage that is no known word, in a site's own words neither", () => {
    assert.equal(reasonFor({ stage: "halfway" }), "unreadable-row");
    for (const stage of ["routine", "As found", "as-left", "Vorher"])
      assert.equal(reasonFor({ stage }), null, stage);
  });

  it("missing-field: what cannot be done without", () => {
    for (const column of ["instrument", "checked_at", "speed_rpm"] as const) {
      assert.match(against({ [column]: "" })?.message ?? "", new RegExp(`The field ${column} is empty`));
    }
    assert.equal(reasonFor({ full_scale_range_mpas: "" }), "missing-field");
    assert.equal(reasonFor({ reading_mpas: "", torque_percent: "" }), "missing-field");
  });

  it("takes a missing reading from torque and range, and a missing range from the registers", () => {
    const fromTorque = draftOf({ ...good, reading_mpas: "" });
    assert.equal(fromTorque.readingMPaS, 95.6);
    assert.equal(judge(fromTorque, context), null);
    const fromRegister = draftOf({
      ...good,
      instrument: "U-2",
      geometry: "cup-B",
      full_scale_range_mpas: "",
      torque_percent: "",
    });
    assert.ok(Math.abs(fromRegister.fullScaleRangeMPaS! - 265.4) < 0.05);
    assert.equal(judge(fromRegister, context), null);
  });

  it("not-a-number: also where the field could be left out", () => {
    assert.match(
      against({ reading_mpas: "95,6" })?.message ?? "",
      /"95,6" in reading_mpas is not a number written with a decimal point/,
    );
    assert.equal(reasonFor({ temperature_c: "warm" }), "not-a-number");
    assert.equal(reasonFor({ reading_mpas: "", torque_percent: "x" }), "not-a-number");
    assert.equal(
      reasonFor({ instrument: "U-2", geometry: "cup-B", speed_rpm: "x", full_scale_range_mpas: "" }),
      "not-a-number",
    );
  });

  it("bad-time: no time, one that does not exist, or one before 1950", () => {
    for (const time of ["yesterday", "2026-02-30T10:00:00Z", "1925-03-01T10:00:00Z"]) {
      assert.equal(reasonFor({ checked_at: time }), "bad-time", time);
    }
  });

  it("in-the-future: by more than clocks are ahead of UTC anywhere", () => {
    assert.equal(reasonFor({ checked_at: "2026-04-02T01:59:00Z" }), null);
    assert.equal(reasonFor({ checked_at: "2026-04-02T02:01:00Z" }), "in-the-future");
  });

  it("negative: below zero, or zero where it cannot be", () => {
    for (const column of [
      "speed_rpm",
      "reading_mpas",
      "fluid_value_mpas",
      "full_scale_range_mpas",
      "torque_percent",
    ] as const) {
      assert.equal(reasonFor({ [column]: "-1" }), "negative", column);
    }
    for (const column of ["speed_rpm", "fluid_value_mpas", "full_scale_range_mpas"] as const) {
      assert.equal(reasonFor({ [column]: "0" }), "negative", column);
    }
    assert.equal(reasonFor({ reading_mpas: "0", torque_percent: "" }), null);
    assert.equal(reasonFor({ temperature_c: "-1" }), null);
  });

  it("over-range: torque above 100 %, or a reading above the range", () => {
    assert.equal(reasonFor({ torque_percent: "100.1" }), "over-range");
    assert.equal(reasonFor({ reading_mpas: "200.1", torque_percent: "" }), "over-range");
    assert.equal(reasonFor({ reading_mpas: "200", torque_percent: "100" }), null);
  });

  it("unknown-value: neither given nor certified for a registered lot", () => {
    assert.equal(reasonFor({ fluid_value_mpas: "" }), "unknown-value");
    assert.match(
      against({ fluid_value_mpas: "", fluid_lot: "LOT-9" })?.message ?? "",
      /the lot LOT-9 is not registered/,
    );
    assert.equal(reasonFor({ fluid_value_mpas: "", fluid_lot: "LOT-1" }), null);
  });

  it("unit-mixup: a factor of about 1000 between what should agree", () => {
    assert.equal(
      against({ reading_mpas: "0.0956", torque_percent: "" })?.message,
      "Reads 0.0956 where about 95 mPa·s is expected: entered in Pa·s?",
    );
    assert.match(
      against({ fluid_value_mpas: "0.095" })?.message ?? "",
      /The fluid's value is given as 0\.095 where about 95\.6 mPa·s is expected: entered in Pa·s\?/,
    );
    assert.equal(reasonFor({ reading_mpas: "0.07", torque_percent: "" }), "unit-mixup");
    assert.equal(
      reasonFor({ fluid_value_mpas: "0.095", fluid_lot: "LOT-1", reading_mpas: "0.0956" }),
      "unit-mixup",
    );
    assert.equal(reasonFor({ fluid_value_mpas: "0.095", reading_mpas: "0.0956" }), "unit-mixup");
    assert.equal(reasonFor({ full_scale_range_mpas: "200000", torque_percent: "" }), "unit-mixup");
    assert.equal(reasonFor({ reading_mpas: "9.56", torque_percent: "4.8" }), null);
  });

  it("range-disagrees: more than 2 % off the unit's own, by its checks or by its measures", () => {
    assert.equal(reasonFor({ full_scale_range_mpas: "203.9", torque_percent: "" }), null);
    assert.match(
      against({ full_scale_range_mpas: "205", torque_percent: "" })?.message ?? "",
      /given as 205 mPa·s at 60 min⁻¹, where this instrument with cup-A has 200 mPa·s/,
    );
    assert.equal(reasonFor({ speed_rpm: "30" }), "range-disagrees");
    assert.equal(reasonFor({ instrument: "U-9", full_scale_range_mpas: "250", torque_percent: "" }), null);
    assert.equal(
      reasonFor({ instrument: "U-2", geometry: "cup-B", full_scale_range_mpas: "250", torque_percent: "" }),
      "range-disagrees",
    );
  });

  it("reading-disagrees: more than 0.5 % of full scale between reading and torque", () => {
    assert.equal(reasonFor({ torque_percent: "48.3" }), null);
    assert.equal(reasonFor({ torque_percent: "48.4" }), "reading-disagrees");
    assert.equal(reasonFor({ torque_percent: "47.2" }), "reading-disagrees");
  });

  it("gives the first reason that applies", () => {
    const everything = {
      stage: "halfway",
      speed_rpm: "",
      reading_mpas: "x",
      checked_at: "never",
      fluid_value_mpas: "-1",
      torque_percent: "120",
    };
    const order = [
      ["unreadable-row", {}],
      ["missing-field", { stage: "" }],
      ["not-a-number", { speed_rpm: "30" }],
      ["bad-time", { reading_mpas: "95.6" }],
      ["in-the-future", { checked_at: "2063-01-01" }],
      ["negative", { checked_at: "2026-03-01" }],
      ["over-range", { fluid_value_mpas: "" }],
      ["unknown-value", { torque_percent: "48.9" }],
      ["unit-mixup", { fluid_value_mpas: "95000" }],
      ["range-disagrees", { fluid_value_mpas: "95" }],
      ["reading-disagrees", { speed_rpm: "60" }],
    ] as const;
    let changes: Partial<ReadingText> = everything;
    for (const [reason, mended] of order) {
      changes = { ...changes, ...mended };
      assert.equal(reasonFor(changes), reason);
    }
    assert.equal(reasonFor({ ...changes, torque_percent: "47.8" }), null);
  });
});
