import type { BandName, BandOutlook, PatternName, UnitForecast, UnitState } from "../../../analysis/index.ts";
import { isoOfDay } from "../../../dashboard/assessment/days.ts";
import type { InstrumentRecord } from "../../../ingest/index.ts";
import { type Random, seededRandom } from "./random.ts";

/** An invented unit: what is wrong with it, and the forecast that an analysis might make of it. */
export interface FixtureUnit {
  readonly record: InstrumentRecord;
  readonly forecast: UnitForecast;
  readonly pattern: PatternName;
  readonly lifeStartDay: number;
  readonly dueDay: number;
  /** The unit's own error at a torque on a day. Unit: % of full scale. */
  readonly errorAt: (day: number, torque: number) => number;
}

export const SITES = ["Ashmere", "Northwick", "Sallow Bay", "Tarn House", "Weir End"] as const;
export const JUDGED: Readonly<Record<BandName, number>> = { low: 20, medium: 50, high: 85 };
const USES = ["several_shifts", "daily", "daily", "weekly", "occasional"] as const;
const PATTERNS: readonly PatternName[] = ["span", "span", "zero", "friction", "curvature", "step"];

/** 1 % of full scale for the instrument, 1 % for the accessory, 1 % of the value for the fluid. */
export function toleranceAt(torque: number): number {
  return 2 + torque / 100;
}

export function fixtureUnit(index: number, asOfDay: number): FixtureUnit {
  const random = seededRandom(index * 7919 + 17);
  const instrument = `V-${String(index).padStart(4, "0")}`;
  const site = SITES[index % SITES.length]!;
  const lifeStartDay = asOfDay - 20 - Math.floor(random.uniform() * 330);
  const dueDay = lifeStartDay + 365;
  const drifting = random.uniform() < 0.2;
  const pattern = drifting ? random.pick(PATTERNS) : "none";
  const errorAt = ownError(pattern, random, lifeStartDay);
  const judged = index % 67 !== 66;
  return {
    record: {
      instrument,
      site,
      modelClass: random.pick(["low torque", "medium torque", "high torque"]),
      fullScaleTorqueUnm: random.pick([120, 900, 7000]),
      usage: random.pick(USES),
      inServiceSince: isoOfDay(asOfDay - 1096),
      lastService: isoOfDay(lifeStartDay),
      nextServiceDue: isoOfDay(dueDay),
    },
    forecast: judged
      ? judgedForecast({ instrument, site, pattern, errorAt, asOfDay, dueDay, random, index })
      : unjudgedForecast(instrument, site, dueDay),
    pattern,
    lifeStartDay,
    dueDay,
    errorAt,
  };
}

function ownError(
  pattern: PatternName,
  random: Random,
  lifeStartDay: number,
): (day: number, torque: number) => number {
  const zero = 0.15 * random.normal();
  const span = 0.25 * random.normal();
  const rate =
    pattern === "none"
      ? 0.15 * random.normal()
      : (random.uniform() < 0.5 ? -1 : 1) * (1.4 + 3 * random.uniform());
  return (day, torque) => {
    const years = (day - lifeStartDay) / 365.25;
    const x = torque / 100;
    const moved = rate * years;
    const level = zero + span * x;
    if (pattern === "zero") return level + moved;
    if (pattern === "friction") return level - Math.abs(moved) * 2 * Math.exp(-torque / 12);
    if (pattern === "curvature") return level + moved * 4 * (x * x - x);
    if (pattern === "step") return level + (years > 0.3 ? rate * 0.6 : 0);
    return level + moved * x;
  };
}

interface ForecastParts {
  readonly instrument: string;
  readonly site: string;
  readonly pattern: PatternName;
  readonly errorAt: FixtureUnit["errorAt"];
  readonly asOfDay: number;
  readonly dueDay: number;
  readonly random: Random;
  readonly index: number;
}

function judgedForecast(parts: ForecastParts): UnitForecast {
  const { asOfDay, dueDay, errorAt, random, pattern } = parts;
  const outlook = (band: BandName): BandOutlook => {
    const torque = JUDGED[band];
    const yearsAhead = (dueDay - asOfDay) / 365.25;
    return {
      now: errorAt(asOfDay, torque) / toleranceAt(torque),
      nowSd: 0.05 + 0.03 * random.uniform(),
      atService: errorAt(dueDay, torque) / toleranceAt(torque),
      atServiceSd: 0.06 + 0.16 * yearsAhead,
      checks: 8 + Math.floor(random.uniform() * 40),
    };
  };
  const bands = { low: outlook("low"), medium: outlook("medium"), high: outlook("high") };
  const names = ["low", "medium", "high"] as const;
  const band = names.reduce((a, b) => (Math.abs(bands[b].atService) > Math.abs(bands[a].atService) ? b : a));
  const pNow = beyond(bands[band].now, bands[band].nowSd);
  const pBefore = Math.max(pNow, beyond(bands[band].atService, bands[band].atServiceSd));
  const reaches = (p: number): number | null => crossing(bands[band], asOfDay, dueDay, p);
  return {
    instrument: parts.instrument,
    site: parts.site,
    nextServiceDueDay: dueDay,
    pOutNow: pNow,
    pOutBeforeService: pBefore,
    outOn: { p05: reaches(0.05), p50: reaches(0.5), p95: reaches(0.95) },
    band,
    bands,
    shape: fixtureShape(pattern, errorAt, asOfDay),
    pattern: { name: pattern, strength: pattern === "none" ? 0.6 : 0.86 },
    steps: pattern === "step" ? [{ betweenDays: [asOfDay - 80, asOfDay - 73], zero: 0.3, span: 1.4 }] : [],
    lastCheckDay: asOfDay - 1 - Math.floor(random.uniform() * 20),
    overdueCheck: parts.site === "Sallow Bay" && parts.index % 3 === 0,
    state: stateOf(pNow, pBefore),
    note: null,
    basis: {
      checksUsed: 23,
      checksLeftOut: 1,
      sharedErrorRemoved: 0.8 * random.normal(),
      fleetWeight: 0.25,
      explanations:
        pattern === "none"
          ? [
              { name: "sound", weight: 0.92 },
              { name: "span", weight: 0.05 },
              { name: "zero", weight: 0.03 },
            ]
          : [
              { name: pattern, weight: 0.86 },
              { name: "sound", weight: 0.09 },
              { name: "zero", weight: 0.05 },
            ],
      pOutBeforeServiceAlone: Math.min(0.97, pBefore * 0.8 + 0.1),
    },
  };
}

/** Zero, span and curvature through the errors at 0, 50 and 100 % torque; a friction unit has friction alone. */
function fixtureShape(pattern: PatternName, errorAt: FixtureUnit["errorAt"], asOfDay: number) {
  const at = (day: number) => {
    const [low, middle, high] = [0, 50, 100].map((torque) => errorAt(day, torque)) as [
      number,
      number,
      number,
    ];
    return { zero: low, span: high - low, curvature: (low + high) / 2 - middle };
  };
  const [now, before] = [at(asOfDay), at(asOfDay - 365.25)];
  const outlook = (name: "zero" | "span" | "curvature", sd: number) =>
    pattern === "friction"
      ? { now: 0, sd, perYear: 0 }
      : { now: now[name], sd, perYear: now[name] - before[name] };
  return {
    zero: outlook("zero", 0.1),
    span: outlook("span", 0.2),
    curvature: outlook("curvature", 0.08),
    friction: pattern === "friction" ? { now: -now.zero, sd: 0.3, perYear: before.zero - now.zero } : null,
  };
}

function unjudgedForecast(instrument: string, site: string, dueDay: number): UnitForecast {
  return {
    instrument,
    site,
    nextServiceDueDay: dueDay,
    pOutNow: null,
    pOutBeforeService: null,
    outOn: { p05: null, p50: null, p95: null },
    band: null,
    bands: null,
    shape: null,
    pattern: { name: "none", strength: 0 },
    steps: [],
    lastCheckDay: null,
    overdueCheck: true,
    state: "unjudged",
    note: "No usable check yet.",
    basis: null,
  };
}

function stateOf(pNow: number, pBefore: number): UnitState {
  if (pNow > 0.5) return "out";
  if (pBefore > 0.5) return "heading-out";
  return pBefore > 0.05 ? "leaning" : "steady";
}

/** Probability of a normal value beyond ±1, by the logistic approximation of its distribution: fit to look at. */
function beyond(mean: number, sd: number): number {
  const above = (limit: number): number => 1 / (1 + Math.exp((1.702 * (limit - mean)) / sd));
  return above(1) + 1 - above(-1);
}

function crossing(band: BandOutlook, asOfDay: number, dueDay: number, p: number): number | null {
  const perDay = (band.atService - band.now) / (dueDay - asOfDay);
  for (let day = asOfDay; day < asOfDay + 3653; day += 7) {
    const years = (day - asOfDay) / 365.25;
    if (beyond(band.now + perDay * (day - asOfDay), 0.06 + 0.16 * years) >= p) return day;
  }
  return null;
}
