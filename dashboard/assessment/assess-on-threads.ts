import {
  assessmentOf,
  type FleetAssessment,
  type FleetChecks,
  type FleetFigures,
  forecastUnits,
  type UnitForecast,
} from "../../analysis/index.ts";
import { type FleetThreads, withThreads } from "./fleet-threads.ts";
import { inTurn, noneTaken } from "./in-turn.ts";

/** Assesses a whole fleet on threads: the same as `assessFleet`. */
export async function assessOnThreads(
  fleet: FleetChecks,
  figures: FleetFigures,
  threads?: FleetThreads,
): Promise<FleetAssessment> {
  return assessmentOf(fleet, figures, await forecastOnThreads(fleet, figures, threads));
}

/**
 * Forecasts a fleet's units, which threads take in turn; this one too.
 *
 * @param fleet Its readings lie in memory that threads share, see `SeriesBuilder`.
 * @param threads As are worth it, and end with this work, where left out.
 * @returns In any order; each the same however many threads there are.
 */
function forecastOnThreads(
  fleet: FleetChecks,
  figures: FleetFigures,
  threads?: FleetThreads,
): Promise<UnitForecast[]> {
  return withThreads(threads, (kept) => beginForecasts(fleet, figures, kept)());
}

/** Has other threads begin with forecasts; this one takes its part when the function that is given back is called. */
export function beginForecasts(
  fleet: FleetChecks,
  figures: FleetFigures,
  threads: FleetThreads,
): () => Promise<UnitForecast[]> {
  const taken = noneTaken();
  const elsewhere = threads
    .others(fleet.units.length)
    .map((thread) => thread.ask<UnitForecast[]>({ fleet, figures, taken }));
  return async () => {
    const forecasts = forecastUnits(fleet, figures, inTurn(fleet.units, taken));
    return forecasts.concat(...(await Promise.all(elsewhere)));
  };
}
