import type { UnitState as StateWord, UnitForecast } from "../assessment.ts";
import { BAND_NAMES, type BandName, JUDGING_TORQUES } from "../band.ts";
import type { FleetChecks, UnitChecks } from "../fleet.ts";
import { tolerancePercentFs } from "../tolerance.ts";
import type { FleetFigures } from "./figures.ts";
import { type ForecastContext, forecastContext } from "./forecast-context.ts";
import { type ForwardModel, isFarFromLimits, simulateForward } from "./forward-paths.ts";
import { describeUnit, unjudged } from "./outlook.ts";
import { hashText } from "./random.ts";
import { type UnitPosterior, unitPosterior } from "./unit-posterior.ts";

export const DAYS_A_YEAR = 365.25;

/** Looking further ahead than this says nothing. Unit: years. */
const FARTHEST = 10;
const TIMES_TO_SERVICE = 24;
const TIMES_BEYOND = 14;
const PATHS = 512;

/** Paths for a state that only a step can bring out of tolerance before the service. */
const FEW_PATHS = 128;

/** From these probabilities on a unit is called so. */
export const OUT_NOW = 0.5;
export const HEADING_OUT = 0.5;
export const LEANING = 0.2;

/** Forecast of one unit with figures fitted before. */
export function forecastUnit(unit: UnitChecks, fleet: FleetChecks, figures: FleetFigures): UnitForecast {
  return forecastIn(forecastContext(fleet, figures), unit);
}

export function forecastIn(context: ForecastContext, unit: UnitChecks): UnitForecast {
  const { fleet } = context;
  const usable = unit.readings.use.some((use) => use > 0);
  if (!usable) return unjudged(unit, fleet, "No usable check yet.");
  const posterior = unitPosterior(context, unit);
  const due = unit.nextServiceDueDay;
  const { model, now, toService, times, atService, outBy, firstBand } = outAhead(context, unit, posterior);
  const pOutNow = outBy[0]!;
  const pOutBeforeService = due === null ? null : outBy[atService]!;
  const dayAt = (p: number) => {
    for (let g = 0; g < times.length; g++) {
      if (outBy[g]! < p) continue;
      if (g === 0) return fleet.asOfDay;
      const share = (p - outBy[g - 1]!) / (outBy[g]! - outBy[g - 1]!);
      return posterior.stateDay + DAYS_A_YEAR * (times[g - 1]! + share * (times[g]! - times[g - 1]!));
    }
    return null;
  };
  const band = BAND_NAMES[firstBand.indexOf(Math.max(...firstBand))]!;
  return {
    ...describeUnit(context, unit, posterior, model, now, toService),
    instrument: unit.instrument,
    site: unit.site,
    nextServiceDueDay: due,
    pOutNow,
    pOutBeforeService,
    outOn: { p05: dayAt(0.05), p50: dayAt(0.5), p95: dayAt(0.95) },
    band,
    state: stateWord(pOutNow, pOutBeforeService),
  };
}

/** How likely the unit is to have left tolerance by each time from now on. */
export interface OutAhead {
  readonly model: ForwardModel;
  /** Years from the posterior's day to the as-of day, and from there to the service (0 where none is due). */
  readonly now: number;
  readonly toService: number;
  /** Years from the posterior's day: now, evenly up to the service at index `atService`, then ever wider apart. */
  readonly times: Float64Array;
  readonly atService: number;
  /** Probability by each of `times`. */
  readonly outBy: Float64Array;
  /** Probability, per band, that it is the first to leave within the last time. */
  readonly firstBand: Float64Array;
}

/** Simulates every understanding of the unit forward, and adds them by their weights. */
export function outAhead(
  { fleet, figures }: ForecastContext,
  unit: UnitChecks,
  posterior: UnitPosterior,
): OutAhead {
  const model = forwardModel(unit, fleet, figures);
  const now = Math.max(0, (fleet.asOfDay - posterior.stateDay) / DAYS_A_YEAR);
  const due = unit.nextServiceDueDay;
  const toService = due === null ? 0 : Math.max(0, (due - fleet.asOfDay) / DAYS_A_YEAR);
  const { times, atService } = timeGrid(now, toService);
  const outBy = new Float64Array(times.length);
  const firstBand = new Float64Array(BAND_NAMES.length);
  posterior.states.forEach(({ weight, state }, k) => {
    const paths = Math.max(
      32,
      Math.round(weight * (isFarFromLimits(state, model, times[atService]!) ? FEW_PATHS : PATHS)),
    );
    const result = simulateForward(state, model, times, paths, hashText(unit.instrument) + k);
    for (let g = 0; g < times.length; g++) outBy[g]! += weight * result.outBy[g]!;
    for (let b = 0; b < firstBand.length; b++) firstBand[b]! += weight * result.firstBand[b]!;
  });
  // Weights add to 1 only up to rounding.
  for (let g = 0; g < times.length; g++) outBy[g] = Math.min(1, outBy[g]!);
  return { model, now, toService, times, atService, outBy, firstBand };
}

function stateWord(now: number, before: number | null): StateWord {
  if (now > OUT_NOW) return "out";
  const p = before ?? now;
  return p >= HEADING_OUT ? "heading-out" : p >= LEANING ? "leaning" : "steady";
}

export function forwardModel(unit: UnitChecks, fleet: FleetChecks, figures: FleetFigures): ForwardModel {
  const { readings } = unit;
  const lastGeometry = readings.count > 0 ? readings.geometry[readings.count - 1]! : -1;
  const geometry = fleet.geometries[lastGeometry] ?? null;
  const torque = BAND_NAMES.map((band: BandName) => JUDGING_TORQUES[band]);
  const { population } = figures;
  return {
    bands: {
      torque: torque.map((x) => x / 100),
      tolerance: torque.map((x) => tolerancePercentFs(x, fleet.toleranceRule, geometry)),
    },
    wander: population.wander,
    stepsPerYear: population.stepsPerYear,
    stepZero: population.stepZero,
    stepSpan: population.stepSpan,
  };
}

/** Times from the state: now, evenly to the service, then ever wider to the farthest. Unit: years. */
function timeGrid(now: number, toService: number): { times: Float64Array; atService: number } {
  const times = [now];
  for (let i = 1; i <= TIMES_TO_SERVICE && toService > 0; i++)
    times.push(now + (toService * i) / TIMES_TO_SERVICE);
  const atService = times.length - 1;
  const from = Math.max(toService, 0.05);
  for (let i = 1; i <= TIMES_BEYOND; i++) {
    const ahead = from * (FARTHEST / from) ** (i / TIMES_BEYOND);
    if (ahead > toService) times.push(now + ahead);
  }
  return { times: Float64Array.from(times), atService };
}
