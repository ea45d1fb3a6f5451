import type { SiteScatter, UnitState } from "../../analysis/index.ts";
import { ON_TIME_TARGET } from "../assessment/checks-on-time.ts";
import type { FleetView } from "../assessment/views.ts";

export type StateCounts = Readonly<Record<UnitState, number>>;

/** One site beside the others. */
export interface SiteRow {
  readonly site: string;
  readonly units: number;
  readonly states: StateCounts;
  /** 0 to 1; null where nothing was checked. */
  readonly checksOnTime: number | null;
  readonly behind: boolean;
  readonly scatter: SiteScatter | null;
  /** The bath's latest period; null where it cannot be told from the units. Unit: K. */
  readonly bath: { readonly kelvin: number; readonly sd: number } | null;
}

/** How many of each state there are. */
export function countStates(states: Iterable<UnitState>): StateCounts {
  const counts = { out: 0, "heading-out": 0, leaning: 0, steady: 0, unjudged: 0 };
  for (const state of states) counts[state] += 1;
  return counts;
}

/** Every site with its units by state, in the order of their names. */
export function siteRows(fleet: FleetView): SiteRow[] {
  const statesBySite = Map.groupBy(fleet.assessment.units, (unit) => unit.site);
  return fleet.sites.map(({ site, checksOnTime, scatter }) => {
    const units = statesBySite.get(site) ?? [];
    const bath = fleet.assessment.baths.findLast((period) => period.site === site);
    return {
      site,
      units: units.length,
      states: countStates(units.map((unit) => unit.state)),
      checksOnTime,
      scatter,
      behind: checksOnTime !== null && checksOnTime < ON_TIME_TARGET,
      bath: bath === undefined ? null : { kelvin: bath.kelvin, sd: bath.kelvinSd },
    };
  });
}
