import { FIGURES_FORM, type FleetChecks, type FleetFigures } from "../../analysis/index.ts";
import { type KeptFigures, type Store, StoreError } from "../../ingest/index.ts";
import type { Settings } from "../settings.ts";
import { dayOfIso } from "./days.ts";
import type { FleetThreads } from "./fleet-threads.ts";
import { learnOnThreads } from "./learn-on-threads.ts";

/** Figures older than this are learnt anew. Unit: days. */
const LONGEST_USE_DAYS = 28;

/** They are learnt anew, too, once the readings have grown by more than this share: a new site, a backlog. */
const LARGEST_GROWTH = 0.05;

/** So many units with a lot that the figures do not know, and they are learnt anew. */
const UNITS_SHARING_A_LOT = 5;

/**
 * What is known of the fleet as a whole: kept from an earlier run, so that forecasts do not jump with every file, or
 * learnt from these checks and kept.
 *
 * @param mode `anew` learns them whatever is kept.
 * @param threads That learn, where they are to be kept for more.
 */
export async function fleetFigures(
  store: Store,
  asOf: string,
  settings: Settings,
  fleet: FleetChecks,
  mode: "kept" | "anew" = "kept",
  threads?: FleetThreads,
): Promise<FleetFigures> {
  const basis = JSON.stringify({ form: FIGURES_FORM, temperature: settings.temperature });
  const readings = fleet.units.reduce((sum, unit) => sum + unit.readings.count, 0);
  const kept = mode === "kept" ? await store.figures(asOf, basis) : null;
  if (kept !== null && isStillGood(kept, asOf, readings)) {
    const figures = JSON.parse(kept.figures) as FleetFigures;
    if (!hasNewSharedLot(fleet, figures)) return figures;
  }
  const figures = await learnOnThreads(fleet, threads);
  await keep(store, { asOf, basis, readings, figures: JSON.stringify(figures) });
  return figures;
}

function isStillGood(kept: KeptFigures, asOf: string, readings: number): boolean {
  const age = dayOfIso(asOf) - dayOfIso(kept.asOf);
  return (
    age <= LONGEST_USE_DAYS && readings >= kept.readings && readings <= kept.readings * (1 + LARGEST_GROWTH)
  );
}

/** A lot that several units have come to share must be told from them soon, or it looks like their drift. */
function hasNewSharedLot(fleet: FleetChecks, figures: FleetFigures): boolean {
  const known = new Set(figures.shared.courses.map(({ fluidLot }) => fluidLot));
  const isNew = fleet.lots.map(({ fluidLot }) => !known.has(fluidLot));
  if (!isNew.includes(true)) return false;
  const users = new Int32Array(fleet.lots.length);
  for (const { readings } of fleet.units) {
    for (const lot of new Set(readings.lot)) if (lot >= 0 && isNew[lot]) users[lot]!++;
  }
  return users.some((units) => units >= UNITS_SHARING_A_LOT);
}

/** Where another process is writing, the next run keeps them. */
async function keep(store: Store, figures: KeptFigures): Promise<void> {
  try {
    await store.keepFigures(figures);
  } catch (error) {
    if (!(error instanceof StoreError && error.code === "store-locked")) throw error;
  }
}
