import { parentPort, workerData } from "node:worker_threads";
import { type FleetChecks, type FleetFigures, forecastUnits } from "../../analysis/index.ts";

/** The units that a thread forecasts, within a fleet that it knows no other units of. */
export interface UnitsOrder {
  readonly fleet: FleetChecks;
  readonly figures: FleetFigures;
}

const { fleet, figures } = workerData as UnitsOrder;
parentPort?.postMessage(forecastUnits(fleet, figures));
