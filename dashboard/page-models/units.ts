import type { FleetView } from "../assessment/views.ts";
import { HttpError } from "../errors.ts";
import { type FleetQuery, fleetAddress, ROWS_PER_PAGE, selectUnits } from "./fleet-query.ts";
import { countStates, type StateCounts } from "./sites.ts";
import { type UnitRow, unitRows } from "./unit-row.ts";

/** The table of all units, filtered, sorted and cut into pages as its address says. */
export interface UnitsPage {
  readonly asOf: string;
  readonly asOfDay: number;
  readonly query: FleetQuery;
  readonly sites: readonly string[];
  /** Units by state among those of the chosen site and pattern, whatever state is chosen. */
  readonly states: StateCounts;
  readonly overdue: number;
  /** Every unit that the query asks for; the page shows `rows`. */
  readonly selected: readonly UnitRow[];
  readonly rows: readonly UnitRow[];
  readonly pages: number;
}

/** @throws {HttpError} 404 for a site that is not there or a page past the last. */
export function unitsPage(fleet: FleetView, query: FleetQuery): UnitsPage {
  const sites = fleet.sites.map(({ site }) => site);
  if (query.site !== null && !sites.includes(query.site)) {
    throw new HttpError(
      404,
      `No unit is registered at a site called \u201c${query.site}\u201d.`,
      sites.length > 0 ? `The sites are ${sites.join(", ")}.` : "No site is registered yet.",
    );
  }
  const all = unitRows(fleet);
  const selected = selectUnits(all, query);
  const pages = Math.max(1, Math.ceil(selected.length / ROWS_PER_PAGE));
  if (query.page > pages) {
    throw new HttpError(
      404,
      `This table has ${pages === 1 ? "one page" : `${pages} pages`}; page ${query.page} is past its end.`,
      `The last page is at ${fleetAddress({ ...query, page: pages })}.`,
    );
  }
  const inAnyState = selectUnits(all, { ...query, state: null, sort: "chance" });
  return {
    asOf: fleet.asOf,
    asOfDay: fleet.assessment.asOfDay,
    query,
    sites,
    states: countStates(inAnyState.map((row) => row.state)),
    overdue: inAnyState.filter((row) => row.overdueCheck).length,
    selected,
    rows: selected.slice((query.page - 1) * ROWS_PER_PAGE, query.page * ROWS_PER_PAGE),
    pages,
  };
}
