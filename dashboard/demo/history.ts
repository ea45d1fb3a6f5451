import { fullScaleRangeMPaS } from "../../analysis/index.ts";
import { DAY_MS, type RecordDays, YEAR_DAYS } from "./days.ts";
import { LifePath, type Step } from "./life-path.ts";
import type { DemoOptions } from "./options.ts";
import { type OwnError, ownErrorAt, worstOverTolerance } from "./own-error.ts";
import { RandomSource, STREAM } from "./random.ts";
import {
  bathError,
  type Lot,
  lotError,
  lotInUse,
  type Operator,
  type Piece,
  pieceError,
  type Surroundings,
} from "./surroundings.ts";
import { speedsFor, type UnitPlan } from "./unit-plan.ts";

/** One reading as the instrument shows it. */
export interface Reading {
  readonly speedRpm: number;
  readonly fullScaleRangeMPaS: number;
  readonly readingMPaS: number;
  readonly torquePercent: number;
}

/** One check: its readings were made one after the other and carry one time. */
export interface Check {
  readonly checkId: string;
  readonly instrument: string;
  readonly site: string;
  readonly checkedAtMs: number;
  readonly stage: "routine" | "as_found" | "as_left";
  readonly geometry: string;
  readonly lot: Lot;
  readonly temperatureC: number | null;
  readonly operator: string;
  readonly readings: readonly Reading[];
}

/** What a unit truly is at the as-of day and does until its next service; only a scorer may look. */
export interface UnitTruth {
  readonly lifeStart: number;
  /** At the end of the as-of day. */
  readonly state: OwnError;
  readonly repeatability: number;
  readonly now: number;
  /** Largest error over tolerance from the as-of day to the day the next service is due. */
  readonly worst: number;
  /** First day after the as-of day on which it is out of tolerance; null if there is none before the service. */
  readonly firstOutDay: number | null;
  readonly steps: readonly Step[];
}

export interface UnitHistory {
  readonly plan: UnitPlan;
  readonly checks: readonly Check[];
  readonly truth: UnitTruth;
}

interface Occasion {
  readonly day: number;
  readonly stage: Check["stage"];
  /** A service that ends the life right after this check. */
  readonly service?: "adjusted" | "repaired";
}

/** Lives one unit: its checks from the first day to the as-of day, and the truth behind them. */
export function liveThrough(
  plan: UnitPlan,
  surroundings: Surroundings,
  options: DemoOptions,
  days: RecordDays,
): UnitHistory {
  const random = new RandomSource(options.seed, plan.index, STREAM.checks);
  const [firstService] = plan.services;
  const isOld = firstService !== undefined && firstService.day < days.first;
  const path = new LifePath(
    (stream) => new RandomSource(options.seed, plan.index, stream),
    plan.fault,
    isOld ? firstService.day : Math.max(plan.inServiceSince, days.first - 330),
    options.stepsPerUnitYear,
  );
  const bench = new Bench(plan, surroundings, options.noise, random);
  const checks: Check[] = [];
  for (const occasion of occasions(plan, random, days)) {
    path.moveTo(occasion.day);
    const check = bench.check(path, occasion, checks.length + 1);
    if (check.readings.length > 0) checks.push(check);
    if (occasion.service !== undefined) path.adjust(occasion.service);
  }
  return { plan, checks, truth: lookAhead(path, plan, days.asOf) };
}

/** When checks are made: at the intervals of the unit's use, on working days where daily, and around services. */
function occasions(plan: UnitPlan, random: RandomSource, days: RecordDays): Occasion[] {
  const list: Occasion[] = [];
  const every = plan.daysBetweenChecks;
  let day = Math.max(days.first, plan.inServiceSince) + random.between(0, every);
  while (day < days.asOf) {
    const at = Math.floor(day) + random.between(6.2, 20) / 24;
    const weekday = new Date(at * DAY_MS).getUTCDay();
    const free = every < 7 && (weekday === 0 || weekday === 6);
    if (!free && !random.chance(0.07) && at < plan.lastCheckBefore) list.push({ day: at, stage: "routine" });
    day += every < 7 ? 1 : every * random.between(0.85, 1.15);
  }
  for (const { day: serviceDay, action } of plan.services) {
    if (serviceDay < days.first || action === "inspected") continue;
    list.push({ day: serviceDay + random.between(7, 11) / 24, stage: "as_found", service: action });
    list.push({ day: serviceDay + random.between(13, 19) / 24, stage: "as_left" });
  }
  const sorted = list.sort((a, b) => a.day - b.day);
  // On the day of a service only the two checks around it are made.
  const serviceDays = new Set(sorted.filter((o) => o.stage !== "routine").map((o) => Math.floor(o.day)));
  return sorted.filter((o) => o.stage !== "routine" || !serviceDays.has(Math.floor(o.day)));
}

/** Where a unit is checked: turns its own error and everything around it into readings. */
class Bench {
  private readonly plan: UnitPlan;
  private readonly surroundings: Surroundings;
  private readonly noise: number;
  private readonly random: RandomSource;
  private readonly speeds = new Map<Lot, readonly number[]>();
  /** While a wrong accessory of the same size is on. Unit: % of reading. */
  private mixUp = { untilDay: 0, percent: 0 };

  constructor(plan: UnitPlan, surroundings: Surroundings, noise: number, random: RandomSource) {
    this.plan = plan;
    this.surroundings = surroundings;
    this.noise = noise;
    this.random = random;
  }

  check(path: LifePath, occasion: Occasion, number: number): Check {
    const { plan, random } = this;
    const { day } = occasion;
    const site = plan.site;
    const lot = lotInUse(this.surroundings, site, random.pickMostlyFirst(plan.products, 0.2), day);
    const piece = random.pickMostlyFirst(plan.pieces, 0.25);
    const operator = random.pick(site.operators);
    const offTemperature = random.chance(0.012)
      ? random.sign() * random.between(0.25, 0.9)
      : random.normalWithin(0.045, 0.17);
    const trueOffset = offTemperature + bathError(site, day);
    const torqueFactor =
      (1 + lotError(lot, day) / 100) *
      Math.exp((lot.coefficient / 100) * trueOffset) *
      (1 + pieceError(piece, day) / 100) *
      (1 + (operator.errorPercent + this.handling(operator, day)) / 100);
    return {
      checkId: `${plan.instrument}/${number}`,
      instrument: plan.instrument,
      site: site.name,
      checkedAtMs: Math.round(day * 86_400) * 1000,
      stage: occasion.stage,
      geometry: piece.geometry,
      lot,
      temperatureC: random.chance(0.01) ? null : Number((25 + offTemperature).toFixed(2)),
      operator: operator.name,
      readings: this.readings(path, lot, piece, torqueFactor),
    };
  }

  /** Filling and waiting; now and then a cup is filled badly, or the wrong accessory is on for some weeks. */
  private handling(operator: Operator, day: number): number {
    const { random, plan } = this;
    if (random.chance((0.03 * plan.daysBetweenChecks) / YEAR_DAYS)) {
      this.mixUp = {
        untilDay: day + random.between(10, 45),
        percent: random.sign() * random.between(1.5, 3),
      };
    }
    const badFilling = random.chance(0.006) ? -random.between(1, 2.5) : 0;
    return (
      random.normal(operator.fillingSd) + badFilling + (day < this.mixUp.untilDay ? this.mixUp.percent : 0)
    );
  }

  private readings(path: LifePath, lot: Lot, piece: Piece, torqueFactor: number): Reading[] {
    const { plan, random } = this;
    const years = (path.day - path.lifeStart) / YEAR_DAYS;
    const growth = plan.fault === "scatter" ? 1 + 3 * years : 1;
    const readings: Reading[] = [];
    for (const speedRpm of this.speedsOf(lot, piece)) {
      if (random.chance(0.02)) continue;
      const range = Number(fullScaleRangeMPaS(piece.size, plan.fullScaleTorqueUnm, speedRpm).toPrecision(5));
      const torque = ((100 * lot.certifiedMPaS) / range) * torqueFactor;
      // Where a pivot sticks, low torques scatter more.
      const sticking = 0.03 * path.state.friction * Math.exp(-torque / 12);
      const gross = random.chance(0.003) ? random.sign() * random.between(3, 7) : 0;
      const shown =
        torque +
        ownErrorAt(path.state, torque) +
        random.normal(plan.repeatability * growth + this.noise * sticking) +
        gross;
      // The display ends at 100 %, and nobody writes down a reading that is not there.
      if (shown > 99.5 || shown < 1) continue;
      readings.push({
        speedRpm,
        fullScaleRangeMPaS: range,
        readingMPaS: Number(((shown * range) / 100).toPrecision(4)),
        torquePercent: Number(shown.toFixed(1)),
      });
    }
    return readings;
  }

  private speedsOf(lot: Lot, piece: Piece): readonly number[] {
    let speeds = this.speeds.get(lot);
    if (speeds === undefined) {
      const { fullScaleTorqueUnm } = this.plan;
      speeds =
        speedsFor(fullScaleTorqueUnm, piece.size, lot.certifiedMPaS) ??
        speedsFor(fullScaleTorqueUnm, piece.size, lot.product.nominalMPaS) ??
        [];
      this.speeds.set(lot, speeds);
    }
    return speeds;
  }
}

/** Follows the true path day by day to the day the next service is due. */
function lookAhead(path: LifePath, plan: UnitPlan, asOfDay: number): UnitTruth {
  path.moveTo(asOfDay + 1);
  const state = { ...path.state };
  const now = worstOverTolerance(state);
  const { lifeStart } = path;
  let worst = now;
  let firstOutDay: number | null = null;
  for (let day = asOfDay + 1; day <= plan.nextServiceDue; day++) {
    path.moveTo(day + 1);
    const reached = worstOverTolerance(path.state);
    worst = Math.max(worst, reached);
    if (reached > 1) firstOutDay ??= day;
  }
  return { lifeStart, state, repeatability: plan.repeatability, now, worst, firstOutDay, steps: path.steps };
}
