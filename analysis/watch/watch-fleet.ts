import type { AlarmBudget } from "../control-charts/alarm-limits.ts";
import { discoveries } from "../control-charts/false-discovery.ts";
import { normalUpperTail } from "../distributions/normal.ts";
import type { FleetFigures } from "../drift/figures.ts";
import { forecastContext } from "../drift/forecast-context.ts";
import type { FleetChecks, UnitChecks } from "../fleet.ts";
import { chartDesign, knowDesigns } from "./design.ts";
import { type ChartTerms, LifeCharts } from "./life-charts.ts";
import { type LifeSeries, lifeSeries } from "./life-series.ts";
import { fitLimits, type StreamLimits } from "./limits.ts";
import { QUANTITIES, type Quantity } from "./quantities.ts";
import { rateScore } from "./rate-filter.ts";
import type { ChartName, StreamSignal } from "./stream-signal.ts";
import { type LimitBasis, limitTerms, watchBasis } from "./watch-basis.ts";

/** Share of the weekly review list that may be there by chance. */
const FALSE_DISCOVERY_RATE = 0.1;

/** Limits of one quantity in one life of one unit, with where they belong. */
export interface KeptLimits extends StreamLimits {
  readonly instrument: string;
  /** Day of the service, or from which somebody had limits fitted anew; null: before the first service on record. */
  readonly lifeFromDay: number | null;
  /** Budget that was in force when they were frozen. */
  readonly perMonthPer100Units: number;
}

/** What a check that stands out had about it that the check before had not. */
const SURROUNDINGS = ["lot", "geometry", "operator", "site"] as const;
export type Surrounding = (typeof SURROUNDINGS)[number];

export interface WatchSignal {
  readonly instrument: string;
  readonly onDay: number;
  readonly chart: ChartName;
  readonly quantity: Quantity;
  readonly size: number;
  readonly limit: number;
  /** Off the baseline (level), or shift (step). Unit: % of full scale, bands in error over tolerance. */
  readonly change: number;
  /** Step: whether a second check has shown it. */
  readonly confirmed: boolean;
  /** Step: the last check before it and the first one after it. */
  readonly betweenDays: readonly [number, number] | null;
  readonly changed: readonly Surrounding[];
  /** Scatter: within checks (true) or between them; null where that cannot be told, and for other charts. */
  readonly withinCheck: boolean | null;
}

/** A unit on the weekly review list. */
export interface ReviewEntry {
  readonly instrument: string;
  /** Probability of anything as striking in a sound unit, all its charts considered. */
  readonly p: number;
  readonly quantity: Quantity;
  readonly because: "level" | "rate";
}

export interface FleetWatch {
  /** null: nothing is charted. */
  readonly budget: AlarmBudget | null;
  /** By day, then instrument. */
  readonly signals: readonly WatchSignal[];
  /** Most striking first. */
  readonly review: readonly ReviewEntry[];
  /** Frozen in this run, to be kept. */
  readonly newLimits: readonly KeptLimits[];
}

export interface WatchRules {
  readonly perMonthPer100Units: number;
  /** Frozen by earlier runs. */
  readonly kept: readonly KeptLimits[];
}

/** What the charts of some units of a fleet raise. */
export interface UnitsWatch {
  /** Unit by unit. */
  readonly signals: readonly WatchSignal[];
  /** Of each unit that is charted its least probable test. */
  readonly tests: readonly ReviewEntry[];
  /** Frozen in this run, to be kept. */
  readonly newLimits: readonly KeptLimits[];
}

/** Charts every unit of a fleet, with limits from the fleet's budget of false alarms. */
export function watchFleet(fleet: FleetChecks, figures: FleetFigures, rules: WatchRules): FleetWatch {
  const basis = watchBasis(fleet, figures, rules.perMonthPer100Units);
  if (basis === null) return { budget: null, signals: [], review: [], newLimits: [] };
  const { signals, tests, newLimits } = watchUnits(fleet, figures, basis, rules);
  return { budget: basis.budget, signals: inOrder(signals), review: reviewList(tests), newLimits };
}

/**
 * Charts units by what limits of their whole fleet are set from; each by itself, so that they may be charted in parts.
 *
 * @param fleet Holds the units to be charted.
 * @param basis Of the whole fleet.
 */
export function watchUnits(
  fleet: FleetChecks,
  figures: FleetFigures,
  basis: LimitBasis,
  rules: WatchRules,
): UnitsWatch {
  knowDesigns(basis.designs);
  const context = forecastContext(fleet, figures);
  const limitsOf = new LimitsBook(rules, basis);
  const charts = new LifeCharts(figures.population);
  const signals: WatchSignal[] = [];
  const tests: ReviewEntry[] = [];
  for (const unit of fleet.units) {
    const lives = lifeSeries(context, unit);
    lives.forEach((series, l) => {
      const isPresent = l === lives.length - 1;
      const ofUnit = new ReviewTests();
      charts
        .run(series, (q) => limitsOf.find(unit.instrument, series, q), basis.moving, !basis.hasSlips)
        .forEach((of, q) => {
          if (!of) return;
          for (const signal of of.signals) signals.push(inFull(unit, series, q, signal));
          if (!isPresent) return;
          ofUnit.add(q, "level", of.level.lastLevel);
          ofUnit.add(q, "rate", rateScore(series, q, of.level.scale));
        });
      if (isPresent) tests.push(...ofUnit.entryOf(unit.instrument));
    });
  }
  return { signals, tests, newLimits: limitsOf.fresh };
}

/** Signals by day, then instrument. */
export function inOrder(signals: readonly WatchSignal[]): WatchSignal[] {
  return signals.toSorted((a, b) => a.onDay - b.onDay || (a.instrument < b.instrument ? -1 : 1));
}

/** The weekly review list: of all units' tests those that stand out, most striking first. */
export function reviewList(tests: readonly ReviewEntry[]): ReviewEntry[] {
  const listed = discoveries(
    tests.map((entry) => entry.p),
    FALSE_DISCOVERY_RATE,
  );
  return listed.map((i) => tests[i]!);
}

/** Limits by unit, life and quantity: as kept, else fitted now. */
export class LimitsBook {
  readonly fresh: KeptLimits[] = [];
  private readonly kept: ReadonlyMap<string, KeptLimits>;
  private readonly rules: WatchRules;
  private readonly basis: LimitBasis;

  constructor(rules: WatchRules, basis: LimitBasis) {
    this.rules = rules;
    this.basis = basis;
    this.kept = new Map(rules.kept.map((row) => [keyOf(row.instrument, row.lifeFromDay, row.quantity), row]));
  }

  /** Another budget is somebody's decision, and moves the limits; another fleet is not. */
  find(instrument: string, series: LifeSeries, q: number): ChartTerms {
    const { perMonthPer100Units } = this.rules;
    const lifeFromDay = series.baselineFromDay;
    const kept = this.kept.get(keyOf(instrument, lifeFromDay, QUANTITIES[q]!));
    const terms = limitTerms(this.basis, q);
    const limits = kept ?? fitLimits(series, q, terms);
    if (!kept && limits) this.fresh.push({ ...limits, instrument, lifeFromDay, perMonthPer100Units });
    const holds = kept?.perMonthPer100Units === perMonthPer100Units;
    const { runLength, strayShare, levelFactor } = holds ? kept : terms;
    return { limits, design: chartDesign(runLength, strayShare, levelFactor ?? terms.levelFactor) };
  }
}

function keyOf(instrument: string, lifeFromDay: number | null, quantity: Quantity): string {
  return `${quantity} ${lifeFromDay ?? "before"} ${instrument}`;
}

/** A signal with its dates, and for a step what its first check had about it that the check before had not. */
export function inFull(
  unit: UnitChecks,
  { checks, day }: LifeSeries,
  q: number,
  signal: StreamSignal,
): WatchSignal {
  const { chart, at, from, size, limit, change, withinCheck } = signal;
  const isStep = chart === "step";
  const first = checks.reading[checks.firstReading[from]!]!;
  const before = first > 0 ? first - 1 : first;
  const { readings } = unit;
  return {
    instrument: unit.instrument,
    onDay: day[at]!,
    chart,
    quantity: QUANTITIES[q]!,
    size,
    limit,
    change,
    confirmed: at > from,
    betweenDays: isStep ? [from > 0 ? day[from - 1]! : checks.startDay, day[from]!] : null,
    changed: isStep ? SURROUNDINGS.filter((s) => readings[s][first] !== readings[s][before]) : [],
    withinCheck,
  };
}

/** The least probable of a unit's tests, all of them counted. */
class ReviewTests {
  private tests = 0;
  private least = 1;
  private quantity: Quantity = "zero";
  private because: ReviewEntry["because"] = "level";

  add(q: number, because: ReviewEntry["because"], score: number): void {
    this.tests++;
    const p = 2 * normalUpperTail(Math.abs(score));
    if (p >= this.least) return;
    this.least = p;
    this.quantity = QUANTITIES[q]!;
    this.because = because;
  }

  entryOf(instrument: string): ReviewEntry[] {
    const { tests, least, quantity, because } = this;
    return tests === 0 ? [] : [{ instrument, p: Math.min(1, tests * least), quantity, because }];
  }
}
