import { FIGURES_FORM, type FleetChecks, type FleetFigures, fitFleet } from "../../analysis/index.ts";
import { type KeptFigures, type Store, StoreError } from "../../ingest/index.ts";
import type { Settings } from "../settings.ts";
import { dayOfIso } from "./days.ts";

/** Figures older than this are learnt anew. Unit: days. */
const LONGEST_USE_DAYS = 28;

/** They are learnt anew, too, once the readings have grown by more than this share: a new site, a backlog. */
const LARGEST_GROWTH = 0.05;

/**
 * What is known of the fleet as a whole: kept from an earlier run, so that forecasts do not jump with every file, or
 * learnt from these checks and kept.
 *
 * @param mode `anew` learns them whatever is kept.
 */
export async function fleetFigures(
  store: Store,
  asOf: string,
  settings: Settings,
  fleet: FleetChecks,
  mode: "kept" | "anew" = "kept",
): Promise<FleetFigures> {
  const basis = JSON.stringify({ form: FIGURES_FORM, temperature: settings.temperature });
  const readings = fleet.units.reduce((sum, unit) => sum + unit.readings.count, 0);
  const kept = mode === "kept" ? await store.figures(asOf, basis) : null;
  if (kept !== null && isStillGood(kept, asOf, readings)) return JSON.parse(kept.figures) as FleetFigures;
  const figures = fitFleet(fleet);
  await keep(store, { asOf, basis, readings, figures: JSON.stringify(figures) });
  return figures;
}

function isStillGood(kept: KeptFigures, asOf: string, readings: number): boolean {
  const age = dayOfIso(asOf) - dayOfIso(kept.asOf);
  return (
    age <= LONGEST_USE_DAYS && readings >= kept.readings && readings <= kept.readings * (1 + LARGEST_GROWTH)
  );
}

/** Where another process is writing, the next run keeps them. */
async function keep(store: Store, figures: KeptFigures): Promise<void> {
  try {
    await store.keepFigures(figures);
  } catch (error) {
    if (!(error instanceof StoreError && error.code === "store-locked")) throw error;
  }
}
