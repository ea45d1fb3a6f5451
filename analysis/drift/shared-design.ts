import type { FleetChecks, LotFacts } from "../fleet.ts";
import { DAYS_A_YEAR } from "./time.ts";

/** What several units can share. All of it is proportional to the reading, so it looks like span. */
export const CAUSES = ["lot", "lot-ageing", "bath", "bath-quarter", "geometry", "operator"] as const;
export type Cause = (typeof CAUSES)[number];

/** Operators and geometries are told apart only where at least this share of the checks names them. */
const RECORDED_SHARE = 0.8;

/** Relative change of viscosity where the certificate gives none. Unit: % per K. Silicone, mineral oil, unknown. */
const TYPICAL_COEFFICIENT = { silicone: -2, mineral_oil: -7, unknown: -2 } as const;

/** How one lot enters: when it was first used, and after how many days its ageing may change pace. */
export interface LotCourse {
  readonly fluidLot: string;
  readonly firstDay: number;
  readonly lastDay: number;
  /** Days after the first use at which the rate may change; [0] is a straight line. */
  readonly kneeDays: readonly number[];
}

/**
 * The effects that checks may share, numbered. An effect's value is in % of the reading; the bath's are in K and
 * enter multiplied by the lot's temperature coefficient.
 */
export interface SharedDesign {
  readonly keys: readonly string[];
  /** Index into {@link CAUSES} of each effect. */
  readonly cause: Uint8Array;
  readonly courses: readonly (LotCourse | null)[];
  /** First effect of each lot, -1 where unused: its level, followed by one effect a knee. */
  readonly lotEffect: Int32Array;
  readonly bathEffect: Int32Array;
  readonly firstQuarter: number;
  readonly quarters: number;
  /** By site x quarter; -1 where unused. */
  readonly quarterEffect: Int32Array;
  readonly geometryEffect: Int32Array;
  readonly operatorEffect: Int32Array;
  /** Of each lot. Unit: % per K. */
  readonly coefficient: Float64Array;
}

const DAY_MS = 86_400_000;

/** The quarter that was asked for last: a unit's checks follow each other in time. */
let last = { fromDay: 0, untilDay: 0, quarter: 0 };

/** Running number of the calendar quarter that a day (UTC) lies in. */
export function quarterOf(day: number): number {
  if (day >= last.fromDay && day < last.untilDay) return last.quarter;
  const date = new Date(day * DAY_MS);
  const quarter = 4 * date.getUTCFullYear() + Math.floor(date.getUTCMonth() / 3);
  const [fromDay, lastDay] = quarterDays(quarter);
  last = { fromDay, untilDay: lastDay + 1, quarter };
  return quarter;
}

/** First and last day of a quarter. */
export function quarterDays(quarter: number): readonly [number, number] {
  const firstDay = (q: number) => Date.UTC(Math.floor(q / 4), 3 * (q % 4)) / DAY_MS;
  return [firstDay(quarter), firstDay(quarter + 1) - 1];
}

/** The lot's temperature coefficient, or the typical one of its kind. Unit: % per K. */
export function coefficientOf(lot: LotFacts): number {
  if (lot.temperatureCoefficient !== null) return lot.temperatureCoefficient;
  return lot.fluidType === "silicone" || lot.fluidType === "mineral_oil"
    ? TYPICAL_COEFFICIENT[lot.fluidType]
    : TYPICAL_COEFFICIENT.unknown;
}

/**
 * Numbers the effects of a fleet.
 *
 * @param kneesOf Days after first use at which a lot's ageing may change pace; [0] for a straight line.
 * @param seen What the fleet's checks share, where that is known already.
 */
export function designShared(
  fleet: FleetChecks,
  kneesOf: (fluidLot: string) => readonly number[],
  seen: ChecksSurvey = surveyChecks(fleet),
): SharedDesign {
  const keys: string[] = [];
  const cause: number[] = [];
  const add = (kind: Cause, key: string): number => {
    cause.push(CAUSES.indexOf(kind));
    return keys.push(key) - 1;
  };

  const lotEffect = new Int32Array(fleet.lots.length).fill(-1);
  const courses = fleet.lots.map(({ fluidLot }, lot): LotCourse | null => {
    if (!Number.isFinite(seen.lotFirst[lot]!)) return null;
    const span = seen.lotLast[lot]! - seen.lotFirst[lot]!;
    const kneeDays = kneesOf(fluidLot).filter((knee) => knee === 0 || knee < span);
    lotEffect[lot] = add("lot", lotKey(fluidLot));
    for (const knee of kneeDays) add("lot-ageing", ageingKey(fluidLot, knee));
    return { fluidLot, firstDay: seen.lotFirst[lot]!, lastDay: seen.lotLast[lot]!, kneeDays };
  });

  const bathEffect = new Int32Array(fleet.sites.length).fill(-1);
  const quarters = Math.max(0, seen.lastQuarter - seen.firstQuarter + 1);
  const quarterEffect = new Int32Array(fleet.sites.length * quarters).fill(-1);
  fleet.sites.forEach((site, s) => {
    if (!seen.siteQuarters.has(s)) return;
    bathEffect[s] = add("bath", bathKey(site));
    for (const quarter of [...seen.siteQuarters.get(s)!].sort((a, b) => a - b)) {
      quarterEffect[s * quarters + quarter - seen.firstQuarter] = add(
        "bath-quarter",
        quarterKey(site, quarter),
      );
    }
  });

  const named = (kind: Cause, names: readonly string[], checks: number, used: ReadonlySet<number>) =>
    Int32Array.from(names, (name, i) =>
      checks >= RECORDED_SHARE * seen.checks && used.size > 1 && used.has(i)
        ? add(kind, `${kind}:${name}`)
        : -1,
    );
  const geometryEffect = named("geometry", fleet.geometries, seen.withGeometry, seen.geometries);
  const operatorEffect = named("operator", fleet.operators, seen.withOperator, seen.operators);
  return {
    keys,
    cause: Uint8Array.from(cause),
    courses,
    lotEffect,
    bathEffect,
    firstQuarter: seen.firstQuarter,
    quarters,
    quarterEffect,
    geometryEffect,
    operatorEffect,
    coefficient: Float64Array.from(fleet.lots, coefficientOf),
  };
}

/** The cause that an effect's key names. */
export function causeOf(key: string): Cause {
  return key.slice(0, key.indexOf(":")) as Cause;
}

/** Key of a lot's level. */
export const lotKey = (fluidLot: string) => `lot:${fluidLot}`;
/** Key of a lot's change of pace, so many days after its first use. */
export const ageingKey = (fluidLot: string, knee: number) => `lot-ageing:${fluidLot}:${knee}`;
/** Key of a site's constant bath error. */
export const bathKey = (site: string) => `bath:${site}`;
/** Key of a site's bath error in one quarter, beside the constant. */
export const quarterKey = (site: string, quarter: number) => `bath-quarter:${site}:${quarter}`;

/** Effects and factors of one check, appended to growing lists. */
export function appendEffects(
  design: SharedDesign,
  check: { day: number; lot: number; site: number; geometry: number; operator: number },
  push: (effect: number, factor: number) => void,
): void {
  const { day, lot, site, geometry, operator } = check;
  const course = lot >= 0 ? design.courses[lot] : null;
  if (course) {
    const first = design.lotEffect[lot]!;
    push(first, 1);
    course.kneeDays.forEach((knee, k) => {
      const years = (day - course.firstDay - knee) / DAYS_A_YEAR;
      if (years > 0) push(first + 1 + k, years);
    });
  }
  if (site >= 0 && lot >= 0 && design.bathEffect[site]! >= 0) {
    const perKelvin = design.coefficient[lot]!;
    push(design.bathEffect[site]!, perKelvin);
    const quarter = quarterOf(day) - design.firstQuarter;
    const effect =
      quarter >= 0 && quarter < design.quarters
        ? design.quarterEffect[site * design.quarters + quarter]!
        : -1;
    if (effect >= 0) push(effect, perKelvin);
  }
  if (geometry >= 0 && design.geometryEffect[geometry]! >= 0) push(design.geometryEffect[geometry]!, 1);
  if (operator >= 0 && design.operatorEffect[operator]! >= 0) push(design.operatorEffect[operator]!, 1);
}

/** What a fleet's usable checks were made with, and when. */
export interface ChecksSurvey {
  /** Day of each lot's first and last use; not finite where it was not used. */
  readonly lotFirst: Float64Array;
  readonly lotLast: Float64Array;
  /** Per site: the quarters in which it made checks. */
  readonly siteQuarters: ReadonlyMap<number, ReadonlySet<number>>;
  readonly geometries: ReadonlySet<number>;
  readonly operators: ReadonlySet<number>;
  readonly checks: number;
  readonly withGeometry: number;
  readonly withOperator: number;
  readonly firstQuarter: number;
  readonly lastQuarter: number;
}

/** Goes through all readings of a fleet once. */
export function surveyChecks(fleet: FleetChecks): ChecksSurvey {
  const lotFirst = new Float64Array(fleet.lots.length).fill(Number.POSITIVE_INFINITY);
  const lotLast = new Float64Array(fleet.lots.length).fill(Number.NEGATIVE_INFINITY);
  const siteQuarters = new Map<number, Set<number>>();
  const geometries = new Set<number>();
  const operators = new Set<number>();
  let checks = 0;
  let withGeometry = 0;
  let withOperator = 0;
  let firstQuarter = Number.POSITIVE_INFINITY;
  let lastQuarter = Number.NEGATIVE_INFINITY;
  for (const { readings } of fleet.units) {
    const { use, check, day: days, lot: lots, site: sites, geometry, operator } = readings;
    // A unit's checks mostly share site, quarter, geometry and operator with the one before.
    let quarterBefore = Number.NaN;
    let siteBefore = -1;
    let geometryBefore = -1;
    let operatorBefore = -1;
    for (let i = 0; i < readings.count; i++) {
      if (use[i] === 0 || (i > 0 && check[i] === check[i - 1])) continue;
      const day = days[i]!;
      const lot = lots[i]!;
      const quarter = quarterOf(day);
      const site = sites[i]!;
      checks++;
      if (lot >= 0) {
        if (day < lotFirst[lot]!) lotFirst[lot] = day;
        if (day > lotLast[lot]!) lotLast[lot] = day;
      }
      if (geometry[i]! >= 0) {
        withGeometry++;
        if (geometry[i] !== geometryBefore) geometries.add(geometry[i]!);
      }
      if (operator[i]! >= 0) {
        withOperator++;
        if (operator[i] !== operatorBefore) operators.add(operator[i]!);
      }
      if (quarter !== quarterBefore || site !== siteBefore) {
        firstQuarter = Math.min(firstQuarter, quarter);
        lastQuarter = Math.max(lastQuarter, quarter);
        if (site >= 0) {
          const quarters = siteQuarters.get(site) ?? new Set();
          siteQuarters.set(site, quarters.add(quarter));
        }
      }
      quarterBefore = quarter;
      siteBefore = site;
      geometryBefore = geometry[i]!;
      operatorBefore = operator[i]!;
    }
  }
  return {
    lotFirst,
    lotLast,
    siteQuarters,
    geometries,
    operators,
    checks,
    withGeometry,
    withOperator,
    firstQuarter,
    lastQuarter,
  };
}
