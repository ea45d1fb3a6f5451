import { availableParallelism } from "node:os";
import {
  assessmentOf,
  type FleetAssessment,
  type FleetChecks,
  type FleetFigures,
  forecastUnits,
  type UnitForecast,
} from "../../analysis/index.ts";
import { inWorker } from "./in-worker.ts";
import type { UnitsOrder } from "./units-worker.ts";

/** A thread takes a tenth of a second to start: fewer units than these are not worth another one. */
const UNITS_A_THREAD = 200;

/** Assesses a whole fleet on threads: the same as `assessFleet`. */
export async function assessOnThreads(
  fleet: FleetChecks,
  figures: FleetFigures,
  threads?: number,
): Promise<FleetAssessment> {
  return assessmentOf(fleet, figures, await forecastOnThreads(fleet, figures, threads));
}

/**
 * Forecasts a fleet's units, shared out evenly among threads; this one takes its share too.
 *
 * @param fleet Its readings lie in memory that threads share, see `SeriesBuilder`.
 * @param threads As many as there are processors, and as are worth it, where left out.
 * @returns In any order; each the same however many threads there are.
 */
export async function forecastOnThreads(
  fleet: FleetChecks,
  figures: FleetFigures,
  threads: number = Math.min(availableParallelism(), Math.ceil(fleet.units.length / UNITS_A_THREAD)),
): Promise<UnitForecast[]> {
  const share = (thread: number): FleetChecks => ({
    ...fleet,
    units: fleet.units.filter((_, i) => i % threads === thread),
  });
  const elsewhere = Array.from({ length: Math.max(0, threads - 1) }, (_, i) =>
    inWorker<UnitsOrder, UnitForecast[]>(new URL("./units-worker.ts", import.meta.url), {
      fleet: share(i + 1),
      figures,
    }),
  );
  const forecasts = forecastUnits(threads > 1 ? share(0) : fleet, figures);
  return forecasts.concat(...(await Promise.all(elsewhere)));
}
