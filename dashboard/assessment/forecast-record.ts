import { type BackTest, BackTester, type UnitChecks } from "../../analysis/index.ts";
import type { Store } from "../../ingest/index.ts";
import { evenly } from "../evenly.ts";
import type { Settings } from "../settings.ts";
import { isoOfDay } from "./days.ts";
import { fleetFigures } from "./fleet-figures.ts";
import { loadFleet } from "./load-fleet.ts";

/** So many units, evenly chosen, are enough to judge forecasts by; more only take longer. */
const MOST_UNITS = 1000;

/** How far the work is: so many days replayed of so many. */
export type OnProgress = (done: number, of: number) => void;

/**
 * Forecasts made in the past, with what was known then, held against what came by the as-of day.
 *
 * @param madeOnDays Days to replay; those without a check before them are left out.
 * @returns null where none is left.
 */
export async function forecastRecord(
  store: Store,
  asOf: string,
  settings: Settings,
  madeOnDays: readonly number[],
  onProgress: OnProgress = () => {},
): Promise<BackTest | null> {
  const { fleet: now } = await loadFleet(store, asOf, settings);
  const firstDay = firstCheckDay(now.units);
  const days = madeOnDays.filter((day) => day >= firstDay);
  if (days.length === 0) return null;
  const tester = new BackTester(now, await fleetFigures(store, asOf, settings, now));
  for (const [done, day] of days.entries()) {
    onProgress(done, days.length);
    const { fleet: then } = await loadFleet(store, isoOfDay(day), settings);
    const figures = await fleetFigures(store, isoOfDay(day), settings, then);
    tester.replay({ ...then, units: evenly(then.units, MOST_UNITS) }, figures);
  }
  onProgress(days.length, days.length);
  return tester.record();
}

/** Day of the fleet's first check; infinite where it has none. */
export function firstCheckDay(units: readonly UnitChecks[]): number {
  return units.reduce(
    (first, { readings }) => (readings.count > 0 ? Math.min(first, Math.floor(readings.day[0]!)) : first),
    Number.POSITIVE_INFINITY,
  );
}
