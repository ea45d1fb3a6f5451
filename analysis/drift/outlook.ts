import type { BandOutlook, PatternName, ShapeOutlook, StepFound, UnitForecast } from "../assessment.ts";
import { BAND_NAMES, type BandName, bandOf } from "../band.ts";
import { longestCheckGap } from "../check-frequency.ts";
import { type FleetChecks, type UnitChecks, USE } from "../fleet.ts";
import {
  ACCELERATION,
  COMPONENT,
  COMPONENTS,
  curvatureLoading,
  frictionLoading,
  PARAMETERS,
  RATE,
} from "./components.ts";
import type { ForecastContext } from "./forecast-context.ts";
import type { ForwardModel } from "./forward-paths.ts";
import { sharedAt } from "./life-checks.ts";
import { KINDS } from "./population.ts";
import type { UnitState } from "./present-state.ts";
import type { UnitPosterior } from "./unit-posterior.ts";

/** Friction is told only where it is known to within this. Unit: % of full scale. */
const FRICTION_KNOWN_SD = 1.5;

export function unjudged(unit: UnitChecks, fleet: FleetChecks, note: string): UnitForecast {
  return {
    instrument: unit.instrument,
    site: unit.site,
    nextServiceDueDay: unit.nextServiceDueDay,
    pOutNow: null,
    pOutBeforeService: null,
    outOn: { p05: null, p50: null, p95: null },
    band: null,
    bands: null,
    shape: null,
    pattern: { name: "none", strength: 0 },
    steps: [],
    lastCheckDay: null,
    overdueCheck: isOverdue(unit, fleet, null),
    state: "unjudged",
    note,
    basis: null,
  };
}

function isOverdue(unit: UnitChecks, fleet: FleetChecks, lastCheckDay: number | null): boolean {
  const longest = longestCheckGap(unit.usage);
  if (longest === null) return false;
  return lastCheckDay === null || fleet.asOfDay - lastCheckDay > longest;
}

type Described = Omit<
  UnitForecast,
  "instrument" | "site" | "nextServiceDueDay" | "pOutNow" | "pOutBeforeService" | "outOn" | "band" | "state"
>;

/** Everything about a unit's forecast but its probabilities. */
export function describeUnit(
  context: ForecastContext,
  unit: UnitChecks,
  posterior: UnitPosterior,
  model: ForwardModel,
  now: number,
  toService: number,
): Described {
  const { readings } = unit;
  let last = readings.count - 1;
  while (last >= 0 && readings.use[last] === USE.shownOnly) last--;
  const lastCheckDay = last >= 0 ? readings.day[last]! : null;
  const { fleet } = context;
  const atNow = moments(posterior, model, now);
  const atService = moments(posterior, model, now + toService);
  const checks = countChecks(unit, posterior);
  const bands = Object.fromEntries(
    BAND_NAMES.map((name, b): [BandName, BandOutlook] => [
      name,
      {
        now: atNow.band[b]!.mean,
        nowSd: atNow.band[b]!.sd,
        atService: atService.band[b]!.mean,
        atServiceSd: atService.band[b]!.sd,
        checks: checks.byBand[b]!,
      },
    ]),
  ) as Record<BandName, BandOutlook>;
  const component = (c: number): ShapeOutlook => ({
    now: atNow.number[c]!.mean,
    sd: atNow.number[c]!.sd,
    perYear: atNow.number[RATE + c]!.mean,
  });
  const friction = component(COMPONENT.friction);
  return {
    bands,
    shape: {
      zero: component(COMPONENT.zero),
      span: component(COMPONENT.span),
      curvature: component(COMPONENT.curvature),
      friction: friction.sd < FRICTION_KNOWN_SD ? friction : null,
    },
    pattern: pattern(posterior),
    steps: stepsFound(context, posterior),
    lastCheckDay,
    overdueCheck: isOverdue(unit, fleet, lastCheckDay),
    note:
      posterior.life.checks === 0
        ? "No check since the last service: judged by earlier lives and the fleet."
        : null,
    basis: {
      checksUsed: posterior.life.checks,
      checksLeftOut: checks.leftOut,
      sharedErrorRemoved: sharedRemoved(context, posterior),
      fleetWeight: 0,
      explanations: explanationsOf(posterior),
      pOutBeforeServiceAlone: null,
    },
  };
}

interface Moment {
  readonly mean: number;
  readonly sd: number;
}

/** Mean and sd of the nine numbers and of error over tolerance per band, `ahead` years after the state. */
function moments(posterior: UnitPosterior, model: ForwardModel, ahead: number) {
  const rows: Float64Array[] = [];
  const extra: number[] = [];
  for (let p = 0; p < PARAMETERS; p++) {
    const row = new Float64Array(PARAMETERS);
    row[p] = 1;
    if (p < COMPONENTS) row[RATE + p] = ahead;
    if (p === COMPONENT.span) row[ACCELERATION] = 0.5 * ahead * ahead;
    if (p === RATE + COMPONENT.span) row[ACCELERATION] = ahead;
    rows.push(row);
    let variance = p < COMPONENTS ? model.wander[p]! * ahead : 0;
    if (p === COMPONENT.zero) variance += model.stepsPerYear * ahead * model.stepZero;
    if (p === COMPONENT.span) variance += model.stepsPerYear * ahead * model.stepSpan;
    extra.push(variance);
  }
  const number = rows.map((row, p) => mixedMoment(posterior, row, extra[p]!));
  const band = model.bands.torque.map((x, b) => {
    const loading = [1, x, curvatureLoading(x), frictionLoading(x)];
    const row = new Float64Array(PARAMETERS);
    let variance = 0;
    loading.forEach((h, c) => {
      for (let p = 0; p < PARAMETERS; p++) row[p]! += h * rows[c]![p]!;
      variance += h * h * extra[c]!;
    });
    const limit = model.bands.tolerance[b]!;
    const { mean, sd } = mixedMoment(posterior, row, variance);
    return { mean: mean / limit, sd: sd / limit };
  });
  return { number, band };
}

function mixedMoment(posterior: UnitPosterior, row: Float64Array, extra: number): Moment {
  let mean = 0;
  let square = 0;
  for (const { weight, state } of posterior.states) {
    const { mean: m, variance } = momentOf(state, row);
    mean += weight * m;
    square += weight * (m * m + variance);
  }
  return { mean, sd: Math.sqrt(Math.max(0, square - mean * mean) + extra) };
}

function momentOf(state: UnitState, row: Float64Array): { mean: number; variance: number } {
  let mean = 0;
  let variance = 0;
  for (let p = 0; p < PARAMETERS; p++) {
    mean += row[p]! * state.mean[p]!;
    for (let q = 0; q < PARAMETERS; q++)
      variance += row[p]! * row[q]! * state.covariance[p * PARAMETERS + q]!;
  }
  return { mean, variance };
}

function countChecks(unit: UnitChecks, { life, events }: UnitPosterior) {
  const dropped = new Set(events.dropped);
  const byBand = BAND_NAMES.map(() => 0);
  let leftOut = 0;
  for (let k = 0; k < life.checks; k++) {
    const seen = new Set<BandName>();
    for (let r = life.firstReading[k]!; r < life.firstReading[k + 1]!; r++) {
      const band = dropped.has(r) ? null : bandOf(100 * life.span[r]!);
      if (band !== null) seen.add(band);
    }
    BAND_NAMES.forEach((name, b) => {
      if (seen.has(name)) byBand[b]!++;
    });
  }
  const { readings } = unit;
  const from = life.startDay;
  for (let i = 0; i < readings.count; i++) {
    const opens = i === 0 || readings.check[i] !== readings.check[i - 1];
    if (opens && readings.day[i]! >= from && readings.use[i] === USE.shownOnly) leftOut++;
  }
  return { byBand, leftOut };
}

function sharedRemoved({ estimates }: ForecastContext, { life }: UnitPosterior): number {
  let sum = 0;
  for (let k = 0; k < life.checks; k++) sum += sharedAt(life, estimates.value, k);
  return life.checks > 0 ? sum / life.checks : 0;
}

function explanationsOf({ states }: UnitPosterior) {
  const weight = new Map<string, number>();
  for (const s of states) {
    const drift = s.kind < 0 ? "sound" : KINDS[s.kind]!;
    const name = s.events.stepBefore.length > 0 ? `${drift}, step` : drift;
    weight.set(name, (weight.get(name) ?? 0) + s.weight);
  }
  return [...weight].map(([name, w]) => ({ name, weight: w })).sort((a, b) => b.weight - a.weight);
}

function pattern({ states }: UnitPosterior): { name: PatternName; strength: number } {
  const weight = new Map<PatternName, number>();
  for (const s of states) {
    const kind = s.kind < 0 ? null : KINDS[s.kind]!;
    const name: PatternName =
      kind === "acceleration" ? "span" : (kind ?? (s.events.stepBefore.length > 0 ? "step" : "none"));
    weight.set(name, (weight.get(name) ?? 0) + s.weight);
  }
  const [name, strength] = [...weight].sort((a, b) => b[1] - a[1])[0]!;
  return { name, strength };
}

/** The steps of the likeliest explanation, with their sizes. */
function stepsFound(context: ForecastContext, posterior: UnitPosterior): StepFound[] {
  const { life, noise, error, expectation, events } = posterior;
  if (events.stepBefore.length === 0) return [];
  const { smoother, search } = context;
  search.candidates(life, noise, events, error, expectation);
  const dayOf = (k: number) => (k < 0 ? life.startDay : life.startDay + life.year[k]! * 365.25);
  return events.stepBefore.map((k) => ({
    betweenDays: [dayOf(k - 1), dayOf(k)],
    // The smoothed disturbance is its variance times its score.
    zero: noise.stepZero * smoother.shiftScore[2 * k]!,
    span: noise.stepSpan * smoother.shiftScore[2 * k + 1]!,
  }));
}
