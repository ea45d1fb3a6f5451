import { type Random, seededRandom } from "../../support/random.ts";

/**
 * An invented network of six sites, and the checks that they made: the truth that the messy files are written from.
 * Written from the documentation of the files alone, without a line of the program that is to read them.
 */

/** One reading as it would stand in a file without any slip, in the documented units. null: the field is empty. */
export interface Row {
  instrument: string | null;
  /** Unit: ms since 1970-01-01 UTC. */
  at: number | null;
  speed: number | null;
  reading: number | null;
  value: number | null;
  range: number | null;
  torque: number | null;
  temperature: number | null;
  lot: string | null;
  geometry: string | null;
  operator: string | null;
  checkId: string | null;
  stage: "routine" | "as_found" | "as_left" | null;
  /** Text that stands in a field in place of what the site would write. */
  written: Partial<Record<Field, string>>;
  fate: Fate;
}
export type Field = Exclude<keyof Row, "written" | "fate">;

/** What is to become of a row. */
export type Fate =
  | { readonly is: "accepted"; readonly flags: readonly string[] }
  | { readonly is: "repeated" }
  | { readonly is: "quarantined"; readonly reason: string };

/** Rows that were read one after the other; `broken` where the text of it cannot be split. */
export interface Check {
  readonly unit: Unit;
  rows: Row[];
  broken: boolean;
}

export interface Unit {
  readonly instrument: string;
  readonly site: string;
  /** Speed times full-scale range. Unit: mPa·s·min⁻¹. */
  readonly constant: number;
  readonly geometry: Geometry;
  /** null: the range cannot be worked out from the registers. */
  readonly torqueUnm: number | null;
  readonly lot: Lot;
}

export interface Geometry {
  readonly name: string | null;
  readonly bobMm: number;
  readonly cupMm: number;
  readonly lengthMm: number;
  readonly endFactor: number;
}

export interface Lot {
  readonly name: string;
  readonly nominal: number;
  readonly certified: number;
  readonly referenceC: number;
  readonly expiresOn: string;
}

export interface Network {
  readonly random: Random;
  readonly units: readonly Unit[];
  readonly lots: readonly Lot[];
  readonly geometries: readonly Geometry[];
}

export const SITES = ["Aldermoor", "Brackwater", "Carrow", "Dunmere", "Eastfold", "Farrow"] as const;
export type Site = (typeof SITES)[number];

const UNITS_PER_SITE = 4;
const CHECKS_PER_UNIT = 18;
const FIRST_DAY = Date.UTC(2024, 2, 4);
const DAY_MS = 86_400_000;
/** After every check, before every expiry but that of the old lots. */
const GOOD_UNTIL = "2027-06-30";
/** Before every check. */
export const EXPIRED_ON = "2024-02-29";

/** Measures of coaxial cylinders; the last two accessories are on no register. */
const GEOMETRIES: readonly Geometry[] = [
  { name: "cup 25", bobMm: 12.5, cupMm: 13.55875, lengthMm: 37.5, endFactor: 1.1 },
  { name: "cup 17; narrow", bobMm: 8.5, cupMm: 9.222, lengthMm: 25.5, endFactor: 1.1 },
  { name: 'plain "cup"', bobMm: 12, cupMm: 13, lengthMm: 36, endFactor: 1.05 },
  { name: null, bobMm: 11, cupMm: 12, lengthMm: 33, endFactor: 1 },
];

export function network(seed: number): Network {
  const random = seededRandom(seed);
  const lots = [10, 50, 100, 500, 1000].flatMap((nominal, i) => lotsOf(nominal, i, random));
  const units = SITES.flatMap((site, s) =>
    Array.from({ length: UNITS_PER_SITE }, (_, u) => makeUnit(site, s, u, lots, random)),
  );
  return { random, units, lots, geometries: GEOMETRIES.slice(0, 2) };
}

/** A lot in use and one that has expired, of the same fluid. */
function lotsOf(nominal: number, i: number, random: Random): Lot[] {
  const certified = rounded(nominal * (1 + (i % 2 === 0 ? -1 : 1) * between(random, 0.03, 0.06)), 4);
  const referenceC = i === 1 ? 20 : 25;
  const lot = { nominal, certified, referenceC };
  return [
    { ...lot, name: `L-${nominal}-A`, expiresOn: GOOD_UNTIL },
    { ...lot, name: `L-${nominal}-old`, expiresOn: EXPIRED_ON },
  ];
}

function makeUnit(site: string, s: number, u: number, lots: readonly Lot[], random: Random): Unit {
  const geometry = GEOMETRIES[u % GEOMETRIES.length]!;
  const torqueUnm = pick(random, [180, 670, 900, 2400]);
  return {
    instrument: `00${s}-${String(u).padStart(3, "0")}`,
    site,
    geometry,
    torqueUnm: u < 2 ? torqueUnm : null,
    constant: rangeConstant(torqueUnm, geometry),
    lot: pick(
      random,
      lots.filter((lot) => lot.expiresOn === GOOD_UNTIL),
    ),
  };
}

/**
 * At full scale the shear stress at the bob is M / (2 pi Ri² L c) and the shear rate there 2 w Ro² / (Ro² - Ri²)
 * (Newtonian fluid between coaxial cylinders); their quotient is the full-scale range, here times the speed.
 */
function rangeConstant(torqueUnm: number, { bobMm, cupMm, lengthMm, endFactor }: Geometry): number {
  const [ri, ro, length] = [bobMm / 1000, cupMm / 1000, lengthMm / 1000];
  const stressPa = (torqueUnm * 1e-6) / (2 * Math.PI * ri ** 2 * length * endFactor);
  const ratePerRpm = (2 * ((2 * Math.PI) / 60) * ro ** 2) / (ro ** 2 - ri ** 2);
  return (stressPa / ratePerRpm) * 1000;
}

/** The checks of one unit, at three torques each, oldest first; nothing is wrong with any of them. */
export function checksOf(unit: Unit, random: Random): Check[] {
  const zero = between(random, -0.5, 0.5);
  const span = between(random, -0.6, 0.6);
  let at = FIRST_DAY + Math.floor(between(random, 0, 20)) * DAY_MS;
  return Array.from({ length: CHECKS_PER_UNIT }, (_, i) => {
    at += Math.floor(between(random, 20, 40)) * DAY_MS;
    // In working hours of every site, so that no clock change falls among them.
    const time = at + (11 * 60 + Math.floor(between(random, 0, 360))) * 60_000;
    const shared = {
      instrument: unit.instrument,
      at: time,
      temperature: rounded(unit.lot.referenceC + between(random, -0.15, 0.15), 4),
      lot: unit.lot.name,
      geometry: unit.geometry.name,
      operator: pick(random, ["Ada", "Müller, J.", "N. O'Brien", null]),
      checkId: `${unit.instrument}/${i}`,
      stage: i % 5 === 3 ? pick(random, ["as_found", "as_left"] as const) : ("routine" as const),
    };
    const rows = [20, 50, 85].map((torque) => {
      const error = zero + (span * torque) / 100 + 0.1 * random.normal();
      return { ...shared, ...readingAt(unit, torque, error), written: {}, fate: ACCEPTED };
    });
    return { unit, rows, broken: false };
  });
}

export const ACCEPTED: Fate = { is: "accepted", flags: [] };

/** What the unit shows of its lot at about this torque. @param error Units: % of full scale. */
export function readingAt(unit: Unit, aboutTorque: number, error: number) {
  const value = unit.lot.certified;
  const speed = rounded(((aboutTorque / 100) * unit.constant) / value, 3);
  const range = rounded(unit.constant / speed, 6);
  const reading = rounded(value + (error * range) / 100, 5);
  return { speed, range, value, reading, torque: Math.round((1000 * reading) / range) / 10 };
}

export function rounded(value: number, digits: number): number {
  return Number(value.toPrecision(digits));
}

export function between(random: Random, low: number, high: number): number {
  return low + (high - low) * random.uniform();
}

export function pick<T>(random: Random, from: readonly T[]): T {
  return from[Math.floor(random.uniform() * from.length)]!;
}
