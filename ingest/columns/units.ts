import type { Column } from "./columns.ts";

/** From a number as a file writes it to the unit in the column's name. */
export type Conversion = (value: number) => number;

type Quantity =
  | "viscosity"
  | "temperature"
  | "speed"
  | "torque"
  | "length"
  | "percent"
  | "percent-per-kelvin"
  | "factor";

/** What each numeric column measures; a column that is not here holds text or dates. */
const QUANTITIES: Readonly<Partial<Record<Column, Quantity>>> = {
  speed_rpm: "speed",
  reading_mpas: "viscosity",
  fluid_value_mpas: "viscosity",
  full_scale_range_mpas: "viscosity",
  torque_percent: "percent",
  temperature_c: "temperature",
  full_scale_torque_unm: "torque",
  nominal_mpas: "viscosity",
  certified_mpas: "viscosity",
  expanded_uncertainty_percent: "percent",
  reference_temperature_c: "temperature",
  temperature_coefficient_percent_per_k: "percent-per-kelvin",
  bob_radius_mm: "length",
  cup_radius_mm: "length",
  bob_length_mm: "length",
  end_factor: "factor",
};

/** Digits that no unit of another site may add or lose: by its speed, a reading is known again. */
const DIGITS = 9;
const kept = (value: number) => Number(value.toPrecision(DIGITS));

const asWritten: Conversion = (value) => value;
const times =
  (factor: number): Conversion =>
  (value) =>
    kept(value * factor);

/**
 * Units by their codes in UCUM (the Unified Code for Units of Measure) and as people write them, after
 * {@link plainUnit}. 1 cP = 1 mPa·s and 1 dyn·cm = 0.1 µN·m by definition; an inch is 25.4 mm.
 */
const CONVERSIONS: Readonly<Record<Quantity, readonly (readonly [names: string, Conversion])[]>> = {
  viscosity: [
    ["mPa.s mPas mPa-s cP cps CP cPs centipoise", asWritten],
    ["Pa.s Pas Pa-s", times(1000)],
    ["P Poise poise", times(100)],
    ["uPa.s uPas", times(0.001)],
  ],
  temperature: [
    ["Cel degC °C C celsius Celsius", asWritten],
    ["[degF] degF °F F fahrenheit Fahrenheit", (value) => kept((value - 32) / 1.8)],
    ["K kelvin Kelvin", (value) => kept(value - 273.15)],
  ],
  speed: [
    ["/min 1/min min-1 min^-1 rpm RPM r/min {rev}/min rev/min U/min", asWritten],
    ["/s 1/s s-1 s^-1 rps Hz r/s {rev}/s rev/s", times(60)],
    ["rad/s", times(60 / (2 * Math.PI))],
  ],
  torque: [
    ["uN.m uNm", asWritten],
    ["mN.m mNm", times(1000)],
    ["N.m Nm", times(1e6)],
    ["dyn.cm dyncm dyne.cm", times(0.1)],
  ],
  length: [
    ["mm", asWritten],
    ["cm", times(10)],
    ["m", times(1000)],
    ["[in_i] in inch", times(25.4)],
  ],
  percent: [
    ["% percent", asWritten],
    ["1", times(100)],
  ],
  "percent-per-kelvin": [
    ["%/K %/Cel %/degC %/°C", asWritten],
    ["/K 1/K K-1 /Cel 1/°C", times(100)],
  ],
  factor: [["1", asWritten]],
};

/** Whether a column, by its canonical name, holds numbers. */
export function isNumeric(column: string): boolean {
  return column in QUANTITIES;
}

/** The conversion for a column written in a unit; null where the unit does not fit the column. */
export function conversionFor(column: Column, unit: string): Conversion | null {
  const quantity = QUANTITIES[column];
  if (quantity === undefined) return null;
  const plain = plainUnit(unit);
  return CONVERSIONS[quantity].find(([names]) => names.split(" ").includes(plain))?.[1] ?? null;
}

/** Units that a column may be written in, for messages: the first name of each. */
export function unitsOf(column: Column): readonly string[] {
  const quantity = QUANTITIES[column];
  return quantity === undefined ? [] : CONVERSIONS[quantity].map(([names]) => names.split(" ")[0]!);
}

/** One way of writing the signs that differ between keyboards: dots of multiplication, micro, minus, spaces. */
function plainUnit(unit: string): string {
  return unit
    .replace(/\s/g, "")
    .replace(/[·⋅•*]/g, ".")
    .replace(/[µμ]/g, "u")
    .replace(/⁻¹|−1/g, "-1")
    .replace(/℃/g, "°C")
    .replace(/℉/g, "°F");
}
