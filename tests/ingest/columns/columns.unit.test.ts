import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { canonicalNames } from "../../../ingest/columns/canonical-names.ts";
import { detectDecimal } from "../../../ingest/columns/detect-decimal.ts";
import { parseNumber } from "../../../ingest/columns/parse-number.ts";
import { readingSets } from "../../../ingest/columns/reading-sets.ts";
import { recogniseKind } from "../../../ingest/columns/recognise-kind.ts";
import { conversionFor } from "../../../ingest/columns/units.ts";

describe("parseNumber", () => {
  it("rounds plain digits as the language does", () => {
    for (const text of [
      "0.1",
      "5471.8",
      "123456789012345",
      "1.2345678901234",
      ".00000000000001",
      "95.",
      "00.10",
    ]) {
      assert.equal(parseNumber(text, "."), Number(text), text);
    }
  });

  it("takes plain and exponent forms with the file's own decimal mark", () => {
    assert.equal(parseNumber("95.2", "."), 95.2);
    assert.equal(parseNumber("-.5", "."), -0.5);
    assert.equal(parseNumber("1e3", "."), 1000);
    assert.equal(parseNumber("95,2", ","), 95.2);
    assert.equal(parseNumber("+7", ","), 7);
  });

  it("takes nothing that would have to be guessed at", () => {
    for (const text of [
      "",
      "95,2",
      "1 000",
      "1,234.5",
      "95.2 mPa·s",
      "0x10",
      "NaN",
      "Infinity",
      "1e999",
      "--1",
      "4O",
    ]) {
      assert.ok(Number.isNaN(parseNumber(text, ".")), text);
    }
    assert.ok(Number.isNaN(parseNumber("95.2", ",")));
  });
});

describe("detectDecimal", () => {
  const record = (...fields: string[]) => ({ line: 2, column: 1, part: 0, raw: "", fields, problem: null });

  it("goes by what most fractions of numeric columns are written with", () => {
    const names = ["instrument", "reading_mpas_1", "temperature_c"];
    assert.equal(detectDecimal(names, [record("7,1", "95,2", "25,0"), record("7,2", "95.3", "")]), ",");
    assert.equal(detectDecimal(names, [record("7,1", "95.2", "25")]), ".");
    assert.equal(detectDecimal(names, []), ".");
  });
});

describe("recogniseKind", () => {
  it("goes by the columns that only one kind has", () => {
    assert.equal(recogniseKind(["instrument", "serviced_at", "action"]), "services");
    assert.equal(recogniseKind(["fluid_lot", "certified_mpas"]), "fluids");
    assert.equal(recogniseKind(["geometry", "bob_radius_mm", "end_factor"]), "geometries");
    assert.equal(recogniseKind(["instrument", "measured_at", "sample", "viscosity", "torque"]), "results");
    assert.equal(recogniseKind(["instrument", "next_service_due"]), "instruments");
    const wide = [
      "instrument",
      "checked_at",
      "fluid_lot",
      "speed_rpm_1",
      "torque_percent_1",
      "full_scale_range_mpas_1",
    ];
    assert.equal(recogniseKind(wide), "readings");
  });

  it("says which columns are missing and which were found", () => {
    assert.throws(
      () => recogniseKind(["instrument", "checked_at", "reading_mpas", "Speed"]),
      /looks like readings, but a column is missing: speed_rpm, fluid_value_mpas or fluid_lot, .* Found: instrument, checked_at, reading_mpas, Speed\./,
    );
    assert.throws(() => recogniseKind(["Name", "\u0007"]), /fit no kind of file .* Found: Name, \?\./);
  });
});

describe("canonicalNames", () => {
  it("passes over case and spaces, and maps a site's own headers", () => {
    const mapped = new Map([["Messwert", "reading_mpas"]]);
    assert.deepEqual(canonicalNames([" Instrument ", "Messwert", "Note"], mapped), [
      "instrument",
      "reading_mpas",
      "Note",
    ]);
  });

  it("does not choose between two columns that mean the same", () => {
    assert.throws(
      () => canonicalNames(["instrument", "Instrument"], new Map()),
      /Two columns mean instrument/,
    );
  });
});

describe("readingSets", () => {
  it("is one set in the long form", () => {
    const [set, ...more] = readingSets(["instrument", "speed_rpm"]);
    assert.equal(more.length, 0);
    assert.equal(set?.number, 0);
    assert.equal(set?.places.speed_rpm, 1);
    assert.equal(set?.places.site, -1);
  });

  it("is one set a number in the wide form, with the other columns shared", () => {
    const sets = readingSets(["speed_rpm_10", "instrument", "speed_rpm_2", "note_1", "reading_mpas_2"]);
    assert.deepEqual(
      sets.map((set) => [set.number, set.places.speed_rpm, set.places.instrument, set.numberedPlaces]),
      [
        [2, 2, 1, [2, 4]],
        [10, 0, 1, [0]],
      ],
    );
  });
});

describe("conversionFor", () => {
  const convert = (...[column, unit, value]: [Parameters<typeof conversionFor>[0], string, number]) =>
    conversionFor(column, unit)?.(value);

  it("knows units by UCUM and as people write them", () => {
    for (const unit of ["mPa.s", "mPa·s", "mPa s", "cP"])
      assert.equal(convert("reading_mpas", unit, 95), 95, unit);
    for (const unit of ["Pa.s", "Pa·s", "Pa*s"]) assert.equal(convert("reading_mpas", unit, 0.5), 500, unit);
    assert.equal(convert("reading_mpas", "P", 1), 100);
    for (const unit of ["[degF]", "°F", "degF", "℉"])
      assert.equal(convert("temperature_c", unit, 77), 25, unit);
    assert.equal(convert("temperature_c", "K", 298.15), 25);
    assert.equal(convert("speed_rpm", "1/s", 0.5), 30);
    assert.equal(convert("full_scale_torque_unm", "mN·m", 0.9), 900);
    assert.equal(convert("bob_radius_mm", "cm", 1.25), 12.5);
  });

  it("has none for a unit of another quantity, in another case, or for a text column", () => {
    assert.equal(conversionFor("reading_mpas", "degC"), null);
    assert.equal(conversionFor("reading_mpas", "MPa.s"), null);
    assert.equal(conversionFor("operator", "1"), null);
  });
});
