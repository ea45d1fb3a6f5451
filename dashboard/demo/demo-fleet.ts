import { DAY_MS, type RecordDays, YEAR_DAYS } from "./days.ts";
import { liveThrough, type UnitHistory } from "./history.ts";
import { completeOptions, type DemoOptions } from "./options.ts";
import { RandomSource, STREAM } from "./random.ts";
import { FLUID_PRODUCTS } from "./scenario.ts";
import { type Lot, lotInUse, makeSurroundings, type Surroundings } from "./surroundings.ts";
import { type FleetTruth, fleetTruth } from "./truth.ts";
import { planUnit, type UnitPlan } from "./unit-plan.ts";

/** An invented fleet. Nothing of its checks is kept in memory: they are made when asked for, unit by unit. */
export interface DemoFleet {
  readonly options: DemoOptions;
  readonly plans: readonly UnitPlan[];
  /** Lots that some site has opened by the as-of day and within the record, by name. */
  readonly lots: readonly Lot[];
  readonly surroundings: Surroundings;
  /** One unit's whole record at a time, in the order of `plans`; the same each time. */
  histories(): Generator<UnitHistory>;
  /** What every unit, lot and bath truly is. Lives all units through once more. */
  truth(): FleetTruth;
}

/**
 * Invents a fleet: units with and without faults, their services, lots, baths, people and accessories.
 *
 * @param given Options; all but the as-of day may be left out.
 * @throws {RangeError} for an option out of its range.
 */
export function demoFleet(given: Partial<DemoOptions> & Pick<DemoOptions, "asOf">): DemoFleet {
  const options = completeOptions(given);
  const asOf = Date.parse(`${options.asOf}T00:00:00Z`) / DAY_MS;
  const days = { first: Math.round(asOf - options.years * YEAR_DAYS), asOf };
  const surroundings = makeSurroundings(new RandomSource(options.seed, 0, STREAM.surroundings), {
    firstDay: days.first,
    asOfDay: asOf,
    // At least two, so that lots can be told apart; at most four, so that each line serves several sites.
    supplyLines: Math.min(4, Math.max(2, Math.round(options.units / 400))),
    badLotShare: options.badLotShare,
    noise: options.noise,
  });
  const digits = Math.max(4, String(options.units).length);
  const plans = Array.from({ length: options.units }, (_, index) =>
    planUnit(new RandomSource(options.seed, index, STREAM.plan), index, digits, surroundings, options, days),
  );

  function* histories(): Generator<UnitHistory> {
    for (const plan of plans) yield liveThrough(plan, surroundings, options, days);
  }
  const lots = lotsOpened(surroundings, days);
  return {
    options,
    plans,
    lots,
    surroundings,
    histories,
    truth: () => fleetTruth(options, days.asOf, lots, surroundings, histories()),
  };
}

function lotsOpened(surroundings: Surroundings, days: RecordDays): Lot[] {
  const opened = new Set<Lot>();
  for (const site of surroundings.sites) {
    for (const product of FLUID_PRODUCTS) {
      for (let day = days.first; day < days.asOf; day++)
        opened.add(lotInUse(surroundings, site, product, day));
    }
  }
  return [...opened].sort((a, b) => (a.fluidLot < b.fluidLot ? -1 : 1));
}
