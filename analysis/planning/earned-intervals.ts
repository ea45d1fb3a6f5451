import { usualCheckInterval } from "../check-frequency.ts";
import type { FleetFigures } from "../drift/figures.ts";
import { TooFewPointsError } from "../errors.ts";
import type { FleetChecks, UnitChecks } from "../fleet.ts";
import { cutLives } from "../life.ts";
import { wilsonInterval } from "../scores.ts";
import {
  adviseInterval,
  type EarnedInterval,
  type IntervalAdvice,
  inUseInterval,
  staircaseFor,
  staircaseInterval,
} from "./interval-methods.ts";
import { fitReliability, intervalFor, type ReliabilityFit } from "./reliability-fit.ts";
import { type RiskCourse, riskCourses, riskOn } from "./risk-course.ts";
import { asFinding, type ServiceFinding, serviceFindings } from "./service-findings.ts";

export interface IntervalRules {
  /** Share of units that is to be within tolerance at the end of the interval. */
  readonly target: number;
  /** The organisation's longest interval. Unit: days. */
  readonly longestDays: number;
}

/** What interval one unit has earned. Unit: days since its last service. */
export interface UnitInterval {
  readonly instrument: string;
  readonly site: string | null;
  readonly group: string;
  /** From the last service to the next one; null where either is not known. */
  readonly presentDays: number | null;
  /** From its own drift; null where it cannot be judged or its last service is not known. */
  readonly drift: EarnedInterval | null;
  /** By the staircase of method 1, from its own services; null without any finding. */
  readonly staircaseDays: number | null;
  /** By the in-use time of method 3, from its group's findings; null where those do not tell. */
  readonly inUseDays: number | null;
  readonly findings: readonly ServiceFinding[];
  readonly advice: { readonly advice: IntervalAdvice; readonly days: number } | null;
  /** Days between checks, by how the unit is used and by how fast it may leave tolerance. */
  readonly checkEveryDays: { readonly byUse: number | null; readonly byDrift: number | null };
}

/** What a group of equal units has earned, from what its services found. */
export interface GroupInterval {
  readonly group: string;
  readonly units: number;
  readonly findings: number;
  readonly foundOut: number;
  /** Share found within tolerance, with Wilson's 95 % interval; null without findings. */
  readonly reliability: { readonly share: number; readonly lower: number; readonly upper: number } | null;
  /** null where no unit was found out: the findings then set no upper end. */
  readonly exponential: GroupFit | null;
  /** null also where the services came after intervals too much alike to tell a shape. */
  readonly weibull: GroupFit | null;
}

export interface GroupFit extends EarnedInterval {
  readonly shape: number;
  readonly scaleDays: number;
}

/** A longer interval is sure where the risk is still below this share of what the target allows. */
const SURE_SHARE = 0.5;

/** Findings after intervals that are all alike say nothing of a Weibull shape; it then runs to an end of its range. */
const TOLD_SHAPE = [1 / 6, 6] as const;

const CHECK_INTERVALS = [7, 14, 28, 91];
const CONFIDENCE = 0.8;

/** Hours in use a week: our own figures, no source. */
const HOURS_A_WEEK: ReadonlyMap<string, number> = new Map([
  ["several_shifts", 80],
  ["daily", 25],
  ["weekly", 5],
  ["occasional", 1],
]);

/** What a unit's interval is worked out from. */
export interface IntervalFacts {
  readonly instrument: string;
  readonly site: string | null;
  readonly modelClass: string | null;
  readonly usage: UnitChecks["usage"];
  readonly lastServiceDay: number | null;
  readonly nextServiceDueDay: number | null;
  readonly findings: readonly ServiceFinding[];
}

export interface EarnedIntervals {
  readonly units: readonly UnitInterval[];
  readonly groups: readonly GroupInterval[];
}

/** Intervals of every unit and of every model class, by drift, by findings and by the simple methods. */
export function earnedIntervals(
  fleet: FleetChecks,
  figures: FleetFigures,
  rules: IntervalRules,
): EarnedIntervals {
  return intervalsFrom(fleet, fleet.units.map(intervalFacts), riskCourses(fleet, figures), rules);
}

/** Gathers them from a unit's checks and services. */
export function intervalFacts(unit: UnitChecks): IntervalFacts {
  const { instrument, site, modelClass, usage, nextServiceDueDay } = unit;
  return {
    instrument,
    site,
    modelClass,
    usage,
    lastServiceDay: cutLives(unit.readings, unit.services).at(-1)?.fromDay ?? null,
    nextServiceDueDay,
    findings: serviceFindings(unit),
  };
}

/**
 * The same from what was gathered of the units.
 *
 * @param courses In the order of `units`; null where a unit cannot be judged.
 */
export function intervalsFrom(
  { asOfDay, checkEveryDays }: Pick<FleetChecks, "asOfDay" | "checkEveryDays">,
  units: readonly IntervalFacts[],
  courses: readonly (RiskCourse | null)[],
  rules: IntervalRules,
): EarnedIntervals {
  const weeks = Math.ceil((1.5 * rules.longestDays) / 7);
  const days = Array.from({ length: weeks + 1 }, (_, w) => asOfDay + 7 * w);
  const members = Map.groupBy(units, groupOf);
  const hours = hoursEarned(units, rules);
  return {
    units: units.map((unit, i) => {
      const { lastServiceDay, nextServiceDueDay: due, findings } = unit;
      const presentDays = lastServiceDay === null || due === null ? null : due - lastServiceDay;
      const course = courses[i] ?? null;
      const risk = course && riskOn(course, days);
      const drift =
        risk === null || lastServiceDay === null ? null : driftInterval(risk, days, lastServiceDay, rules);
      const hoursAWeek = HOURS_A_WEEK.get(unit.usage ?? "");
      return {
        instrument: unit.instrument,
        site: unit.site,
        group: groupOf(unit),
        presentDays,
        drift,
        staircaseDays: staircaseDays(findings, rules),
        inUseDays: hours === null || hoursAWeek === undefined ? null : inUseInterval(hours, hoursAWeek),
        findings,
        advice:
          drift === null || presentDays === null
            ? null
            : adviseInterval(presentDays, drift, rules.longestDays),
        checkEveryDays: {
          byUse: usualCheckInterval(unit.usage, checkEveryDays),
          byDrift: risk === null ? null : checkInterval(risk, days, due, rules),
        },
      };
    }),
    groups: [...members].map(([group, own]) => groupInterval(group, own, rules)),
  };
}

function groupOf({ modelClass }: IntervalFacts): string {
  return modelClass ?? "no model class";
}

/** The horizon at which the risk reaches what the target allows, counted from the last service. */
function driftInterval(
  risk: Float64Array,
  days: readonly number[],
  lastService: number,
  { target }: IntervalRules,
): EarnedInterval {
  const reaches = (allowed: number): number => {
    const at = risk.findIndex((p) => p >= allowed);
    return (at < 0 ? days.at(-1)! : days[at]!) - lastService;
  };
  return { days: reaches(1 - target), sureDays: reaches(SURE_SHARE * (1 - target)) };
}

function staircaseDays(
  findings: readonly ServiceFinding[],
  { target, longestDays }: IntervalRules,
): number | null {
  const [first] = findings;
  if (first === undefined) return null;
  const came = staircaseInterval(
    first.days,
    findings.map(({ wasSound }) => wasSound),
    staircaseFor(target),
  );
  return Math.min(came, longestDays);
}

/**
 * The rarest of the usual intervals at which a unit may be checked so that between two checks it leaves tolerance with no
 * more probability than the target allows over its whole interval; at worst daily.
 */
function checkInterval(
  risk: Float64Array,
  days: readonly number[],
  due: number | null,
  { target }: IntervalRules,
): number {
  const last = due === null ? days.length - 1 : days.findLastIndex((day) => day <= due);
  const isEnough = (gap: number) => {
    for (let w = 0; w <= last; w++) {
      const next = Math.min(risk.length - 1, w + gap / 7);
      if (risk[next]! - risk[w]! > 1 - target) return false;
    }
    return true;
  };
  return CHECK_INTERVALS.findLast(isEnough) ?? 1;
}

function groupInterval(
  group: string,
  units: readonly IntervalFacts[],
  { target }: IntervalRules,
): GroupInterval {
  const own = units.flatMap(({ findings }) => findings);
  const foundOut = own.filter(({ wasSound }) => !wasSound).length;
  const outside = own.length > 0 ? wilsonInterval(foundOut, own.length) : null;
  const earnedBy = (model: ReliabilityFit["model"]): GroupFit | null => {
    const fitted = fitOrNull(own.map(asFinding), model);
    if (fitted === null || fitted.shape < TOLD_SHAPE[0] || fitted.shape > TOLD_SHAPE[1]) return null;
    return {
      days: intervalFor(fitted, target),
      sureDays: intervalFor(fitted, target, CONFIDENCE),
      shape: fitted.shape,
      scaleDays: fitted.scale,
    };
  };
  return {
    group,
    units: units.length,
    findings: own.length,
    foundOut,
    reliability: outside && {
      share: 1 - foundOut / own.length,
      lower: 1 - outside.upper,
      upper: 1 - outside.lower,
    },
    exponential: earnedBy("exponential"),
    weibull: earnedBy("weibull"),
  };
}

/** Hours in use after which the target is reached, by the findings of all units whose use is known. */
function hoursEarned(units: readonly IntervalFacts[], { target }: IntervalRules): number | null {
  const inHours = units.flatMap(({ usage, findings }) => {
    const hoursAWeek = HOURS_A_WEEK.get(usage ?? "");
    if (hoursAWeek === undefined) return [];
    return findings.map((finding) => asFinding({ ...finding, days: (finding.days / 7) * hoursAWeek }));
  });
  const fitted = fitOrNull(inHours, "exponential");
  return fitted && intervalFor(fitted, target);
}

function fitOrNull(findings: Parameters<typeof fitReliability>[0], model: ReliabilityFit["model"]) {
  try {
    return fitReliability(findings, model);
  } catch (error) {
    if (error instanceof TooFewPointsError) return null;
    throw error;
  }
}
