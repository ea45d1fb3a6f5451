import {
  type BudgetCost,
  budgetCost,
  budgetOf,
  type FleetChecks,
  type FleetWatch,
  type KeptLimits,
  QUANTITIES,
  type UnitChecks,
  type UnitWatch,
  watchFleet,
  watchUnit,
} from "../../analysis/index.ts";
import { type FrozenLimit, type Store, StoreError } from "../../ingest/index.ts";
import { settingsInForce } from "../settings-in-force.ts";
import type { FleetRun } from "./assess-store.ts";
import { dayOfIso, isoOfDay } from "./days.ts";
import { fleetFigures } from "./fleet-figures.ts";
import { loadFleet } from "./load-fleet.ts";

/**
 * Charts every unit as of a day, with the limits that earlier runs froze; what is frozen now is kept.
 *
 * @param asOf ISO day; nothing after its end (UTC) is looked at, limits frozen later neither.
 */
export async function watchStore(store: Store, asOf: string): Promise<FleetWatch> {
  const { settings } = await settingsInForce(store, asOf);
  const { fleet } = await loadFleet(store, asOf, settings);
  const watch = watchFleet(fleet, await fleetFigures(store, asOf, settings, fleet), {
    perMonthPer100Units: settings.alarms.per_month_per_100_units,
    kept: await keptLimits(store, asOf),
  });
  await keepLimits(store, asOf, watch.newLimits);
  return watch;
}

/** Budgets held beside the present one, over it. */
export const BUDGET_FACTORS = [0.25, 0.5, 1, 2, 4];

/** What tighter and wider budgets would cost the fleet in delay; null where nothing is charted yet. */
export async function costOfBudgets(store: Store, asOf: string): Promise<readonly BudgetCost[] | null> {
  const { settings } = await settingsInForce(store, asOf);
  const { fleet } = await loadFleet(store, asOf, settings);
  const budget = budgetOf(fleet, settings.alarms.per_month_per_100_units);
  return budget && budgetCost(budget, BUDGET_FACTORS);
}

/** The charts of one unit with the fleet's budget; what is frozen now is kept. */
export async function unitWatch(
  store: Store,
  asOf: string,
  run: FleetRun,
  unit: UnitChecks,
  fleet: FleetChecks,
): Promise<UnitWatch> {
  const watch = watchUnit(unit, fleet, run.figures, run.watchBasis, {
    perMonthPer100Units: run.settings.alarms.per_month_per_100_units,
    kept: await keptLimits(store, asOf, unit.instrument),
  });
  await keepLimits(store, asOf, watch.newLimits);
  return watch;
}

/** Limits frozen by earlier runs, as far as they were known on a day. */
export async function keptLimits(store: Store, asOf: string, instrument?: string): Promise<KeptLimits[]> {
  return (await store.frozenLimits(instrument)).flatMap(({ lifeFrom, frozenOn, ...row }) => {
    const quantity = QUANTITIES.find((name) => name === row.quantity);
    if (quantity === undefined || frozenOn > asOf) return [];
    return [{ ...row, quantity, lifeFromDay: lifeFrom === null ? null : dayOfIso(lifeFrom) }];
  });
}

/**
 * Keeps limits; where another process is writing they are kept by the next run.
 *
 * @returns Whether they are kept.
 */
export async function keepLimits(
  store: Store,
  asOf: string,
  limits: readonly KeptLimits[],
): Promise<boolean> {
  try {
    await store.keepLimits(
      limits.map(
        ({ lifeFromDay, ...limit }): FrozenLimit => ({
          ...limit,
          lifeFrom: lifeFromDay === null ? null : isoOfDay(lifeFromDay),
          frozenOn: asOf,
        }),
      ),
    );
    return true;
  } catch (error) {
    if (!(error instanceof StoreError && error.code === "store-locked")) throw error;
    return false;
  }
}
