import type { FleetView } from "../assessment/views.ts";
import { fleetAddress } from "./fleet-query.ts";
import { lotAddress } from "./fluid-lots.ts";

export interface Found {
  readonly kind: "unit" | "site" | "lot";
  readonly name: string;
  /** A unit's site; null for the others. */
  readonly at: string | null;
  readonly href: string;
}

export interface FindPage {
  readonly sought: string;
  /** The unit, site or lot whose whole name was given. */
  readonly exact: Found | null;
  /** Names that begin with what was sought, then names that hold it; at most {@link MOST}. */
  readonly found: readonly Found[];
  readonly total: number;
}

const MOST = 40;

/** Finds units, sites and lots by a part of their name, whatever the case of the letters. */
export function findPage(fleet: FleetView, sought: string): FindPage {
  const wanted = sought.toLocaleLowerCase("en");
  const ranked = (wanted === "" ? [] : everything(fleet))
    .map((entry) => ({ entry, rank: rank(entry.name.toLocaleLowerCase("en"), wanted) }))
    .filter(({ rank }) => rank > 0)
    .sort((a, b) => b.rank - a.rank);
  const exact = ranked.find(({ rank }) => rank === 3)?.entry ?? null;
  return {
    sought,
    exact,
    found: ranked.slice(0, MOST).map(({ entry }) => entry),
    total: ranked.length,
  };
}

/** What was found, for programs. */
export function findFigures(page: FindPage) {
  return { sought: page.sought, total: page.total, found: page.found.map((found) => ({ ...found })) };
}

function everything({ assessment, sites }: FleetView): Found[] {
  return [
    ...sites.map(({ site }): Found => ({ kind: "site", name: site, at: null, href: fleetAddress({ site }) })),
    ...assessment.units.map(
      ({ instrument, site }): Found => ({
        kind: "unit",
        name: instrument,
        at: site,
        href: `/units/${encodeURIComponent(instrument)}`,
      }),
    ),
    ...assessment.lots.map(
      ({ fluidLot }): Found => ({ kind: "lot", name: fluidLot, at: null, href: lotAddress(fluidLot) }),
    ),
  ];
}

/** 3: the whole name; 2: its beginning; 1: somewhere in it; 0: not there. */
function rank(name: string, wanted: string): number {
  if (name === wanted) return 3;
  if (name.startsWith(wanted)) return 2;
  return name.includes(wanted) ? 1 : 0;
}
