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

/**
 * Assesses a whole fleet, its units shared out evenly among threads; this one takes its share too.
 *
 * @param fleet Its readings lie in memory that threads share, see `SeriesBuilder`.
 * @param threads As many as there are processors, and as are worth it, where left out.
 * @returns The same as `assessFleet`, however many threads there are.
 */
export async function assessOnThreads(
  fleet: FleetChecks,
  figures: FleetFigures,
  threads: number = Math.min(availableParallelism(), Math.ceil(fleet.units.length / UNITS_A_THREAD)),
): Promise<FleetAssessment> {
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
  return assessmentOf(fleet, figures, forecasts.concat(...(await Promise.all(elsewhere))));
}
