import { type BackTest, backTest, type FleetChecks } from "../../analysis/index.ts";
import type { Store } from "../../ingest/index.ts";
import type { Settings } from "../settings.ts";
import { dayOfIso, isoOfDay } from "./days.ts";
import { loadFleet } from "./load-fleet.ts";

/** How long ago the forecasts were made that the record is of: their services have come. Unit: days. */
const MADE_BEFORE = [540, 365];

/** Forecasts made in the past, held against what came by the as-of day; null where there is no past to look at. */
export async function forecastRecord(
  store: Store,
  asOf: string,
  settings: Settings,
): Promise<BackTest | null> {
  const { fleet: now } = await loadFleet(store, asOf, settings);
  const days = MADE_BEFORE.map((before) => dayOfIso(asOf) - before);
  const fleets = new Map<number, FleetChecks>();
  for (const day of days) {
    const { fleet } = await loadFleet(store, isoOfDay(day), settings);
    if (fleet.units.some(({ readings }) => readings.count > 0)) fleets.set(day, fleet);
  }
  if (fleets.size === 0) return null;
  return backTest(now, (day) => fleets.get(day)!, [...fleets.keys()]);
}
