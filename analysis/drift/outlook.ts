import type { BandOutlook, ShapeOutlook, StepFound, UnitForecast } from "../assessment.ts";
import { BAND_NAMES, type BandName, bandOf } from "../band.ts";
import { longestCheckGap } from "../check-frequency.ts";
import { type FleetChecks, type UnitChecks, USE } from "../fleet.ts";
import { namePattern } from "../patterns/name-pattern.ts";
import { COMPONENT, curvatureLoading, frictionLoading } from "./components.ts";
import type { ForecastContext } from "./forecast-context.ts";
import type { OutAhead } from "./out-ahead.ts";
import { KINDS } from "./population.ts";
import {
  componentAhead,
  errorAhead,
  mixtureMoments,
  partsAhead,
  type QuantityAhead,
  rateAhead,
} from "./state-ahead.ts";
import { DAYS_A_YEAR } from "./time.ts";
import type { UnitPosterior } from "./unit-posterior.ts";

/** Friction is told where it is known to within this, or stands out from its doubt. Unit: % of full scale at rest. */
const FRICTION_KNOWN_SD = 1.5;
const FRICTION_STANDS_OUT = 2;

/** A unit about which nothing can be said. */
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
  const longest = longestCheckGap(unit.usage, fleet.checkEveryDays);
  if (longest === null) return false;
  return lastCheckDay === null || fleet.asOfDay - lastCheckDay > longest;
}

type Outlook = Pick<UnitForecast, "bands" | "shape" | "pattern" | "steps" | "lastCheckDay" | "overdueCheck">;

/** Where the unit stands and heads, band by band and shape by shape. */
export function outlook(
  context: ForecastContext,
  unit: UnitChecks,
  posterior: UnitPosterior,
  ahead: OutAhead,
): Outlook {
  const lastCheckDay = lastUsableDay(unit);
  const steps = stepsFound(context, posterior);
  const shape = shapeOutlooks(posterior, ahead);
  return {
    bands: bandOutlooks(posterior, ahead),
    shape,
    pattern: patternOf(context, posterior, ahead, shape, steps),
    steps,
    lastCheckDay,
    overdueCheck: isOverdue(unit, context.fleet, lastCheckDay),
  };
}

function lastUsableDay({ readings }: UnitChecks): number | null {
  let last = readings.count - 1;
  while (last >= 0 && readings.use[last] === USE.shownOnly) last--;
  return last >= 0 ? readings.day[last]! : null;
}

function bandOutlooks(posterior: UnitPosterior, ahead: OutAhead): Record<BandName, BandOutlook> {
  const { model, now, toService } = ahead;
  const checks = checksByBand(posterior);
  const of = (b: number): BandOutlook => {
    const limit = model.bands.tolerance[b]!;
    const at = (years: number) => momentsOf(posterior, errorAhead(model, model.bands.torque[b]!, years));
    const today = at(now);
    const service = at(now + toService);
    return {
      now: today.mean / limit,
      nowSd: today.sd / limit,
      atService: service.mean / limit,
      atServiceSd: service.sd / limit,
      checks: checks[b]!,
    };
  };
  return { low: of(0), medium: of(1), high: of(2) };
}

function isFrictionTold({ now, sd }: ShapeOutlook): boolean {
  return sd < FRICTION_KNOWN_SD || Math.abs(now) > FRICTION_STANDS_OUT * sd;
}

function shapeOutlooks(
  posterior: UnitPosterior,
  { model, now }: OutAhead,
): NonNullable<UnitForecast["shape"]> {
  const of = (component: number): ShapeOutlook => {
    const { mean, sd } = momentsOf(posterior, componentAhead(model, component, now));
    return { now: mean, sd, perYear: momentsOf(posterior, rateAhead(component, now)).mean };
  };
  const friction = of(COMPONENT.friction);
  return {
    zero: of(COMPONENT.zero),
    span: of(COMPONENT.span),
    curvature: of(COMPONENT.curvature),
    friction: isFrictionTold(friction) ? friction : null,
  };
}

function momentsOf({ states }: UnitPosterior, quantity: QuantityAhead) {
  return mixtureMoments(partsAhead(states, quantity));
}

/** Checks of the present life that hold a usable reading in each band. */
function checksByBand({ life, events }: UnitPosterior): number[] {
  const stray = new Set(events.dropped);
  const count = BAND_NAMES.map(() => 0);
  for (let k = 0; k < life.checks; k++) {
    const seen = new Set<BandName | null>();
    for (let r = life.firstReading[k]!; r < life.firstReading[k + 1]!; r++) {
      if (!stray.has(r)) seen.add(bandOf(100 * life.span[r]!));
    }
    BAND_NAMES.forEach((name, b) => {
      if (seen.has(name)) count[b]!++;
    });
  }
  return count;
}

function patternOf(
  { figures }: ForecastContext,
  { states, noise }: UnitPosterior,
  { model }: OutAhead,
  shape: NonNullable<UnitForecast["shape"]>,
  steps: readonly StepFound[],
) {
  const { torque, tolerance } = model.bands;
  const { repeatabilityLogMean, repeatabilityLogSd } = figures.population;
  const left = steps.reduce((sum, step) => ({ zero: sum.zero + step.zero, span: sum.span + step.span }), {
    zero: 0,
    span: 0,
  });
  return namePattern({
    explanations: states.map(({ kind, events, weight }) => ({
      drift: kind < 0 ? null : KINDS[kind]!,
      hasStep: events.stepBefore.length > 0,
      weight,
    })),
    stepOverTolerance: Math.max(...torque.map((x, b) => Math.abs(left.zero + left.span * x) / tolerance[b]!)),
    standing: STANDING.flatMap(({ name, loading }) => {
      const of = shape[name];
      if (of === null) return [];
      const share = Math.max(...torque.map((x, b) => Math.abs(loading(x)) / tolerance[b]!));
      return [{ name, overTolerance: share * of.now, sd: share * of.sd }];
    }),
    scatterOverTypical: Math.sqrt(noise.repeatability / Math.exp(repeatabilityLogMean)),
    // Of a standard deviation; the figures are of its square.
    scatterLogSd: repeatabilityLogSd / 2,
  });
}

const STANDING = [
  { name: "zero", loading: () => 1 },
  { name: "span", loading: (x: number) => x },
  { name: "curvature", loading: curvatureLoading },
  { name: "friction", loading: frictionLoading },
] as const;

/** The steps of the likeliest explanation, with their sizes. */
function stepsFound({ search, smoother }: ForecastContext, posterior: UnitPosterior): StepFound[] {
  const { life, noise, error, expectation, events } = posterior;
  if (events.stepBefore.length === 0) return [];
  search.smooth(life, noise, events, error, expectation);
  const dayOf = (k: number) => life.startDay + (k < 0 ? 0 : life.year[k]! * DAYS_A_YEAR);
  return events.stepBefore.map((k) => ({
    betweenDays: [dayOf(k - 1), dayOf(k)],
    // The smoothed disturbance is its variance times its score.
    zero: noise.stepZero * smoother.shiftScore[2 * k]!,
    span: noise.stepSpan * smoother.shiftScore[2 * k + 1]!,
  }));
}
