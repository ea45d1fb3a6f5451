import type { BandPath, UnitPaths } from "../assessment.ts";
import { BAND_NAMES, type BandName } from "../band.ts";
import { normalCdf } from "../distributions/normal.ts";
import type { FleetChecks, UnitChecks } from "../fleet.ts";
import type { FleetFigures } from "./figures.ts";
import { type ForecastContext, forecastContext } from "./forecast-context.ts";
import type { ForwardModel } from "./forward-paths.ts";
import { type OutAhead, outAhead } from "./out-ahead.ts";
import { appendEffects } from "./shared-design.ts";
import { errorAhead, type Part, partsAhead } from "./state-ahead.ts";
import { DAYS_A_YEAR } from "./time.ts";
import { type UnitPosterior, unitPosterior } from "./unit-posterior.ts";
import { asKnownWith, spread } from "./unit-until.ts";

/** Days of the present life at which the path is worked out; more would not be seen. */
const PAST_POINTS = 20;

const QUANTILES = [
  ["p05", 0.05],
  ["p25", 0.25],
  ["p50", 0.5],
  ["p75", 0.75],
  ["p95", 0.95],
] as const;

/**
 * One unit's way through its present life and on to its service, band by band.
 *
 * @remarks
 * The past is shown as it was known: at each day from the checks up to that day, so that a step appears with the
 * check that showed it. The fleet's figures (lots, baths, noises) are those of the fit. The probability by each day
 * ahead is the forecast's own.
 *
 * @throws {AnalysisError} where the unit has no usable check.
 */
export function followUnit(unit: UnitChecks, fleet: FleetChecks, figures: FleetFigures): UnitPaths {
  const context = forecastContext(fleet, figures);
  const posterior = unitPosterior(context, unit);
  return followIn(context, unit, posterior, outAhead(context, unit, posterior));
}

/** The same, from what was found of the unit. */
export function followIn(
  context: ForecastContext,
  unit: UnitChecks,
  posterior: UnitPosterior,
  { model, times, atService, outBy }: OutAhead,
): UnitPaths {
  const ahead = newPaths();
  for (let g = 0; g <= atService; g++) {
    addPoint(ahead, posterior, model, posterior.stateDay + times[g]! * DAYS_A_YEAR);
  }
  return {
    past: pastPaths(context, unit, posterior, model),
    ahead,
    nowAlongTorque: alongTorque(posterior, model, times[0]!),
    errorWithoutSharedCauses: errorWithoutShared(context, unit),
    pOutBy: Array.from(outBy.subarray(0, atService + 1)),
  };
}

type Paths = Record<BandName, { [K in keyof BandPath]: number[] }>;

function newPaths(): Paths {
  const path = () => ({ day: [], p05: [], p25: [], p50: [], p75: [], p95: [] });
  return { low: path(), medium: path(), high: path() };
}

function pastPaths(
  context: ForecastContext,
  unit: UnitChecks,
  present: UnitPosterior,
  model: ForwardModel,
): Paths {
  const paths = newPaths();
  const { life } = present;
  for (const k of spread([...life.year.keys()], PAST_POINTS)) {
    const last = life.reading[life.firstReading[k + 1]! - 1]!;
    const known =
      k === life.checks - 1
        ? present
        : unitPosterior(context, asKnownWith(unit, last, life.startDay), present);
    addPoint(paths, known, model, known.stateDay);
  }
  return paths;
}

/** Adds one day to all three paths. */
function addPoint(paths: Paths, posterior: UnitPosterior, model: ForwardModel, day: number): void {
  const years = (day - posterior.stateDay) / DAYS_A_YEAR;
  BAND_NAMES.forEach((name, b) => {
    const limit = model.bands.tolerance[b]!;
    const parts = partsAhead(posterior.states, errorAhead(model, model.bands.torque[b]!, years));
    const path = paths[name];
    path.day.push(day);
    for (const [key, p] of QUANTILES) path[key].push(mixtureQuantile(parts, p) / limit);
  });
}

function alongTorque(
  posterior: UnitPosterior,
  model: ForwardModel,
  years: number,
): UnitPaths["nowAlongTorque"] {
  const torque = Array.from({ length: 19 }, (_, i) => 10 + 5 * i);
  const parts = torque.map((x) => partsAhead(posterior.states, errorAhead(model, x / 100, years)));
  const quantile = (p: number) => parts.map((mixture) => mixtureQuantile(mixture, p));
  return { torque, p05: quantile(0.05), p50: quantile(0.5), p95: quantile(0.95) };
}

/** By bisection; a mixture's quantile has no closed form. */
function mixtureQuantile(parts: readonly Part[], p: number): number {
  let low = Math.min(...parts.map(({ mean, sd }) => mean - 9 * sd));
  let high = Math.max(...parts.map(({ mean, sd }) => mean + 9 * sd));
  for (let i = 0; i < 40 && high - low > 1e-6; i++) {
    const middle = (low + high) / 2;
    let below = 0;
    for (const { weight, mean, sd } of parts)
      below += weight * (sd > 0 ? normalCdf((middle - mean) / sd) : middle >= mean ? 1 : 0);
    if (below < p) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/** Every reading, used or not, with lot, bath and the recorded temperature taken away. */
function errorWithoutShared({ design, estimates }: ForecastContext, { readings }: UnitChecks): Float64Array {
  return Float64Array.from({ length: readings.count }, (_, i) => {
    const lot = readings.lot[i]!;
    const offset = readings.temperatureOffset[i]!;
    const coefficient = lot >= 0 ? design.coefficient[lot]! : 0;
    const check = {
      day: readings.day[i]!,
      lot,
      site: readings.site[i]!,
      geometry: readings.geometry[i]!,
      operator: readings.operator[i]!,
    };
    let shared = 0;
    appendEffects(design, check, (effect, factor) => {
      shared += estimates.value[effect]! * factor;
    });
    const correction = Number.isFinite(offset) ? coefficient * offset : 0;
    return readings.error[i]! - (readings.torque[i]! / 100) * (shared + correction);
  });
}
