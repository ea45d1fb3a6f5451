import { BAND_NAMES, JUDGING_TORQUES } from "../../analysis/band.ts";
import type { FleetChecks, LotFacts, Service, UnitChecks } from "../../analysis/fleet.ts";
import { DEFAULT_TOLERANCE_RULE, tolerancePercentFs } from "../../analysis/tolerance.ts";
import { type Random, seededRandom } from "../support/random.ts";

/**
 * A fleet of units that drift, step and scatter by known laws, with the truth beside it.
 * Written for the tests alone: it shares no code with the analysis but the definitions of the outer contract.
 */
export interface FleetLaws {
  readonly units: number;
  readonly sites: number;
  readonly years: number;
  /** Days between checks, one picked per unit. */
  readonly checkDays: readonly number[];
  readonly share: Readonly<Record<"span" | "zero" | "friction" | "curvature" | "acceleration", number>>;
  readonly activeShare: number;
  /** Typical rate by kind; each life's rate is this times a factor of its own. */
  readonly rate: Readonly<Record<"span" | "zero" | "friction" | "curvature" | "acceleration", number>>;
  readonly stepsPerYear: number;
  readonly repeatability: number;
  readonly proportional: number;
  readonly strayShare: number;
  readonly lotSd: number;
  readonly ageingLots: number;
  readonly bathSd: number;
  /** Standard deviation of a change of the bath from quarter to quarter. Unit: K. */
  readonly bathChangeSd: number;
  readonly wander: readonly [number, number, number, number];
}

export const USUAL_LAWS: FleetLaws = {
  units: 200,
  sites: 5,
  years: 3,
  checkDays: [7, 7, 30, 60],
  share: { span: 0.16, zero: 0.06, friction: 0.05, curvature: 0.03, acceleration: 0.05 },
  activeShare: 0.65,
  rate: { span: 4, zero: 2.6, friction: 13, curvature: 3.5, acceleration: 7 },
  stepsPerYear: 0.07,
  repeatability: 0.14,
  proportional: 0.07,
  strayShare: 0.0035,
  lotSd: 0.3,
  ageingLots: 0.08,
  bathSd: 0.05,
  bathChangeSd: 0,
  wander: [0.1, 0.2, 0.08, 0.04],
};

export interface UnitTruth {
  readonly instrument: string;
  readonly kind: string;
  readonly outNow: boolean;
  readonly out: boolean;
  /** First day of the present life on which it was out of tolerance; null: it has not been. */
  readonly outSince: number | null;
}

export interface SimulatedFleet {
  readonly fleet: FleetChecks;
  readonly truth: readonly UnitTruth[];
  /** Error of each lot at its last use. Unit: % of reading. */
  readonly lotError: ReadonlyMap<string, number>;
  readonly bathK: readonly number[];
}

const YEAR = 365.25;
const AS_OF = 20543; // 2026-03-31
type Kind = keyof FleetLaws["share"];
const KINDS: readonly Kind[] = ["span", "zero", "friction", "curvature", "acceleration"];

interface Lot extends LotFacts {
  readonly from: number;
  readonly level: number;
  readonly perYear: number;
  lastUse: number;
}

export function simulateFleet(laws: FleetLaws, seed: number): SimulatedFleet {
  const random = seededRandom(seed);
  const start = AS_OF - Math.round(laws.years * YEAR);
  const lots: Lot[] = [];
  const lotsOfSite = Array.from({ length: laws.sites }, () => {
    const own: number[] = [];
    for (let from = start - 200 * random.uniform(); from < AS_OF; from += 150 + 250 * random.uniform()) {
      // A shared supplier: some sites take the lot that another one opened.
      const open = lots.findIndex((lot) => lot.from <= from && from - lot.from < 120);
      if (open >= 0 && random.uniform() < 0.4) own.push(open);
      else own.push(lots.push(makeLot(laws, random, from, lots.length)) - 1);
    }
    return own;
  });
  const bathK = Array.from({ length: laws.sites }, () => laws.bathSd * random.normal());
  const changes = Array.from({ length: laws.sites }, () =>
    Array.from({ length: 4 * laws.years + 2 }, () => laws.bathChangeSd * random.normal()),
  );
  const truth: UnitTruth[] = [];
  const units = Array.from({ length: laws.units }, (_, i) =>
    makeUnit(laws, random, i, start, lots, lotsOfSite, bathK, changes, truth),
  );
  return {
    fleet: {
      asOfDay: AS_OF,
      units,
      lots,
      sites: Array.from({ length: laws.sites }, (_, s) => `site ${s + 1}`),
      geometries: ["cup 1", "cup 2"],
      operators: [],
      toleranceRule: DEFAULT_TOLERANCE_RULE,
    },
    truth,
    lotError: new Map(lots.map((lot) => [lot.fluidLot, lotErrorAt(lot, lot.lastUse)])),
    bathK,
  };
}

function makeLot(laws: FleetLaws, random: Random, from: number, number: number): Lot {
  const mineral = random.uniform() < 0.35;
  const ages = random.uniform() < laws.ageingLots;
  return {
    fluidLot: `lot ${number + 1}`,
    fluidType: mineral ? "mineral_oil" : "silicone",
    temperatureCoefficient: mineral ? -6 + 0.4 * random.normal() : -2 + 0.1 * random.normal(),
    expandedUncertainty: 0.5,
    from,
    level: laws.lotSd * random.normal(),
    perYear: ages ? (random.uniform() < 0.5 ? -1 : 1) * (1 + 2.5 * random.uniform()) : 0,
    lastUse: from,
  };
}

function lotErrorAt(lot: Lot, day: number): number {
  return lot.level + lot.perYear * Math.max(0, (day - lot.from - 90) / YEAR);
}

/** Components and rates of a unit on one day: zero, span, curvature, friction. */
class Course {
  readonly state = [0, 0, 0, 0];
  readonly rate = [0, 0, 0, 0];
  acceleration = 0;
  private readonly laws: FleetLaws;
  private readonly random: Random;
  private readonly kind: Kind | null;
  private readonly sign: number;

  constructor(laws: FleetLaws, random: Random) {
    this.laws = laws;
    this.random = random;
    this.kind = pickKind(laws, random.uniform());
    this.sign = random.uniform() < 0.5 ? -1 : 1;
    this.adjust();
  }

  get kindName(): string {
    return this.kind ?? "sound";
  }

  adjust(): void {
    const { random, laws } = this;
    [0.1, 0.18, 0.11].forEach((sd, c) => {
      this.state[c] = sd * random.normal();
    });
    this.state[3] = Math.abs(0.08 * random.normal());
    [0.12, 0.26, 0.06].forEach((sd, c) => {
      this.rate[c] = sd * random.normal();
    });
    this.rate[3] = Math.max(0, 0.02 + 0.03 * random.normal());
    this.acceleration = 0;
    if (this.kind === null || random.uniform() >= laws.activeShare) return;
    const size = laws.rate[this.kind] * (0.5 + random.uniform());
    if (this.kind === "acceleration") this.acceleration = this.sign * size;
    else if (this.kind === "friction") this.rate[3] = size;
    else this.rate[{ zero: 0, span: 1, curvature: 2 }[this.kind]] = this.sign * size;
  }

  nextDay(): void {
    const d = 1 / YEAR;
    const { random, laws, state, rate } = this;
    for (let c = 0; c < 4; c++) state[c]! += rate[c]! * d + laws.wander[c]! * Math.sqrt(d) * random.normal();
    state[3] = Math.max(0, state[3]!);
    rate[1]! += this.acceleration * d;
    if (random.uniform() < laws.stepsPerYear * d) {
      state[0]! += 0.77 * random.normal();
      state[1]! += 1.6 * random.normal();
    }
  }

  errorAt(x: number): number {
    const [zero, span, curvature, friction] = this.state;
    return zero! + span! * x + curvature! * 4 * (x * x - x) - friction! * Math.exp((-100 * x) / 12);
  }

  get isOut(): boolean {
    return BAND_NAMES.some((band) => {
      const torque = JUDGING_TORQUES[band];
      return Math.abs(this.errorAt(torque / 100)) > tolerancePercentFs(torque, DEFAULT_TOLERANCE_RULE);
    });
  }
}

function pickKind(laws: FleetLaws, uniform: number): Kind | null {
  let left = uniform;
  for (const kind of KINDS) {
    left -= laws.share[kind];
    if (left < 0) return kind;
  }
  return null;
}

function makeUnit(
  laws: FleetLaws,
  random: Random,
  index: number,
  start: number,
  lots: Lot[],
  lotsOfSite: readonly (readonly number[])[],
  bathK: readonly number[],
  changes: readonly (readonly number[])[],
  truth: UnitTruth[],
): UnitChecks {
  const instrument = `unit ${String(index + 1).padStart(5, "0")}`;
  const site = index % laws.sites;
  const geometry = index % 2;
  const every = laws.checkDays[index % laws.checkDays.length]!;
  const course = new Course(laws, random);
  const repeatability = laws.repeatability * Math.exp(0.35 * random.normal());
  const ladder = [
    0.12 + 0.17 * random.uniform(),
    0.38 + 0.25 * random.uniform(),
    0.72 + 0.22 * random.uniform(),
  ];
  const rows: Row[] = [];
  const services: Service[] = [];
  let nextService = start + YEAR * random.uniform();
  let nextCheck = start + every * random.uniform();
  let check = 0;
  const read = (day: number, stage: number) => {
    const lot = currentLot(lotsOfSite[site]!, lots, day);
    lot.lastUse = Math.max(lot.lastUse, day);
    const offset = 0.065 * random.normal();
    const bath = bathK[site]! + changes[site]![Math.floor((day - start) / (YEAR / 4))]!;
    const shared =
      lotErrorAt(lot, day) +
      lot.temperatureCoefficient! * (offset + bath + 0.02 * random.normal()) +
      laws.proportional * random.normal();
    for (const x0 of ladder) {
      const x = Math.min(1, x0 * (0.95 + 0.1 * random.uniform()));
      let error = course.errorAt(x) + shared * x + repeatability * random.normal();
      if (random.uniform() < laws.strayShare)
        error += (random.uniform() < 0.5 ? -1 : 1) * (1.5 + 4.5 * random.uniform());
      rows.push({ day, check, x, error, lot: lots.indexOf(lot), site, geometry, offset, stage });
    }
    check++;
  };
  let outSince: number | null = null;
  for (let day = Math.floor(start); day <= AS_OF; day++) {
    course.nextDay();
    if (course.isOut) outSince ??= day;
    if (day >= nextService) {
      read(day + 0.4, 1);
      course.adjust();
      outSince = null;
      services.push({ day, action: "adjusted" });
      read(day + 0.6, 2);
      nextService = day + YEAR * (0.9 + 0.2 * random.uniform());
      nextCheck = day + every;
    } else if (day >= nextCheck) {
      read(day + 0.5, 0);
      nextCheck = day + every * (0.8 + 0.4 * random.uniform());
    }
  }
  const due = Math.max(AS_OF, Math.round(nextService));
  const outNow = course.isOut;
  let out = outNow;
  for (let day = AS_OF + 1; day <= due; day++) {
    course.nextDay();
    out ||= course.isOut;
  }
  truth.push({ instrument, kind: course.kindName, outNow, out, outSince });
  return {
    instrument,
    site: `site ${site + 1}`,
    modelClass: null,
    usage: null,
    services,
    nextServiceDueDay: due,
    readings: toColumns(rows),
  };
}

function currentLot(own: readonly number[], lots: readonly Lot[], day: number): Lot {
  let current = lots[own[0]!]!;
  for (const index of own) if (lots[index]!.from <= day) current = lots[index]!;
  return current;
}

interface Row {
  readonly day: number;
  readonly check: number;
  readonly x: number;
  readonly error: number;
  readonly lot: number;
  readonly site: number;
  readonly geometry: number;
  readonly offset: number;
  readonly stage: number;
}

function toColumns(rows: readonly Row[]): UnitChecks["readings"] {
  const floats = (of: (row: Row) => number) => Float64Array.from(rows, of);
  const ints = (of: (row: Row) => number) => Int32Array.from(rows, of);
  return {
    count: rows.length,
    day: floats((r) => r.day),
    check: ints((r) => r.check),
    torque: floats((r) => 100 * r.x),
    error: floats((r) => r.error),
    tolerance: floats((r) => tolerancePercentFs(100 * r.x, DEFAULT_TOLERANCE_RULE)),
    lot: ints((r) => r.lot),
    site: ints((r) => r.site),
    geometry: ints((r) => r.geometry),
    operator: ints(() => -1),
    temperatureOffset: floats((r) => r.offset),
    stage: Uint8Array.from(rows, (r) => r.stage),
    use: new Uint8Array(rows.length).fill(1),
  };
}
