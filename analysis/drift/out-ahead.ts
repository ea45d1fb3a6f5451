import { BAND_NAMES, JUDGING_TORQUES } from "../band.ts";
import type { FleetChecks, UnitChecks } from "../fleet.ts";
import { tolerancePercentFs } from "../tolerance.ts";
import type { FleetFigures } from "./figures.ts";
import type { ForecastContext } from "./forecast-context.ts";
import { type ForwardModel, isFarFromLimits, simulateForward } from "./forward-paths.ts";
import { hashText } from "./random.ts";
import { DAYS_A_YEAR } from "./time.ts";
import type { UnitPosterior } from "./unit-posterior.ts";

/** Looking further ahead than this says nothing. Unit: years. */
const FARTHEST = 10;
const TIMES_TO_SERVICE = 18;
const TIMES_BEYOND = 10;

/** Paths for a unit, and for a state that only a step can bring out of tolerance before the service. */
const PATHS = 400;
const FEW_PATHS = 64;
const FEWEST_PATHS = 32;

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
    const whole = isFarFromLimits(state, model, times[atService]!) ? FEW_PATHS : PATHS;
    const paths = Math.max(FEWEST_PATHS, Math.round(weight * whole));
    const result = simulateForward(state, model, times, paths, hashText(unit.instrument) + k);
    for (let g = 0; g < times.length; g++) outBy[g]! += weight * result.outBy[g]!;
    for (let b = 0; b < firstBand.length; b++) firstBand[b]! += weight * result.firstBand[b]!;
  });
  // Weights add to 1 only up to rounding.
  for (let g = 0; g < times.length; g++) outBy[g] = Math.min(1, outBy[g]!);
  return { model, now, toService, times, atService, outBy, firstBand };
}

/** How a unit moves on and is judged: by the fleet's figures, and the tolerance of the geometry it was last checked with. */
export function forwardModel(unit: UnitChecks, fleet: FleetChecks, figures: FleetFigures): ForwardModel {
  const { readings } = unit;
  const lastGeometry = readings.count > 0 ? readings.geometry[readings.count - 1]! : -1;
  const geometry = fleet.geometries[lastGeometry] ?? null;
  const torque = BAND_NAMES.map((band) => JUDGING_TORQUES[band]);
  const { wander, stepsPerYear, stepZero, stepSpan } = figures.population;
  return {
    bands: {
      torque: torque.map((x) => x / 100),
      tolerance: torque.map((x) => tolerancePercentFs(x, fleet.toleranceRule, geometry)),
    },
    wander,
    stepsPerYear,
    stepZero,
    stepSpan,
  };
}

/** Times from the state: now, evenly to the service, then ever wider to the farthest. Unit: years. */
function timeGrid(now: number, toService: number): { times: Float64Array; atService: number } {
  const times = [now];
  for (let i = 1; i <= TIMES_TO_SERVICE && toService > 0; i++) {
    times.push(now + (toService * i) / TIMES_TO_SERVICE);
  }
  const atService = times.length - 1;
  const from = Math.max(toService, 0.05);
  for (let i = 1; i <= TIMES_BEYOND; i++) {
    const ahead = from * (FARTHEST / from) ** (i / TIMES_BEYOND);
    if (ahead > toService) times.push(now + ahead);
  }
  return { times: Float64Array.from(times), atService };
}
