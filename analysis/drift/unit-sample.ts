import type { FleetChecks, UnitChecks } from "../fleet.ts";
import { hashText } from "./random.ts";

/** Fleets up to this size are learnt from whole. */
const ENOUGH_UNITS = 800;

/** In a larger fleet every lot and site keeps at least this many units to be learnt from. */
const UNITS_PER_CAUSE = 10;

/**
 * The units that the fleet's figures are learnt from.
 *
 * @remarks Units are taken in an order given by their names alone, so that the same ones are taken at every fit:
 * first as many as are enough, then any more that a lot or site still needs.
 */
export function unitsToLearnFrom(fleet: FleetChecks): readonly UnitChecks[] {
  const withChecks = fleet.units.filter((unit) => unit.readings.count > 0);
  if (withChecks.length <= ENOUGH_UNITS) return withChecks;
  const order = withChecks
    .map((unit) => ({ unit, rank: hashText(unit.instrument) }))
    .sort((a, b) => a.rank - b.rank || (a.unit.instrument < b.unit.instrument ? -1 : 1));
  const lots = new Int32Array(fleet.lots.length);
  const sites = new Int32Array(fleet.sites.length);
  const taken: UnitChecks[] = [];
  for (const { unit } of order) {
    const ownLots = distinct(unit.readings.lot);
    const ownSites = distinct(unit.readings.site);
    const isNeeded =
      [...ownLots].some((lot) => lot >= 0 && lots[lot]! < UNITS_PER_CAUSE) ||
      [...ownSites].some((site) => site >= 0 && sites[site]! < UNITS_PER_CAUSE);
    if (taken.length >= ENOUGH_UNITS && !isNeeded) continue;
    taken.push(unit);
    for (const lot of ownLots) if (lot >= 0) lots[lot]!++;
    for (const site of ownSites) if (site >= 0) sites[site]!++;
  }
  return taken;
}

/** The values of a column in which most are as the one before. */
function distinct(column: Int32Array): ReadonlySet<number> {
  const values = new Set<number>();
  for (let i = 0; i < column.length; i++) if (i === 0 || column[i] !== column[i - 1]) values.add(column[i]!);
  return values;
}
