import type { UnitState } from "../../analysis/index.ts";
import { HttpError } from "../errors.ts";
import type { UnitRow } from "./unit-row.ts";

/** Which units a table shows and in what order, as the address says it. */
export interface FleetQuery {
  readonly site: string | null;
  readonly state: StateFilter | null;
  readonly sort: SortKey;
  /** 1 is the first. */
  readonly page: number;
}

/** The states, and the two groups that the front page links to. */
export const STATE_FILTERS = [
  "at-risk",
  "out",
  "heading-out",
  "leaning",
  "steady",
  "unjudged",
  "overdue",
] as const;
export type StateFilter = (typeof STATE_FILTERS)[number];

export const SORT_KEYS = ["chance", "due", "unit", "site", "checked"] as const;
export type SortKey = (typeof SORT_KEYS)[number];

export const ROWS_PER_PAGE = 25;

/**
 * Reads the query of an address.
 *
 * @throws {HttpError} 400 for a value that does not exist; says which there are.
 */
export function readFleetQuery(query: Readonly<Record<string, unknown>>): FleetQuery {
  const text = (key: string): string | null => {
    const value = query[key];
    return typeof value === "string" && value !== "" ? value : null;
  };
  const page = Number(text("page") ?? "1");
  if (!Number.isSafeInteger(page) || page < 1) throw unknown("page", String(query.page), ["1", "2", "3"]);
  return {
    site: text("site"),
    state: oneOf("state", text("state"), STATE_FILTERS),
    sort: oneOf("sort", text("sort"), SORT_KEYS) ?? "chance",
    page,
  };
}

/** The same as an address: only what differs from the plain table. */
export function fleetAddress(query: Partial<FleetQuery>): string {
  const words = new URLSearchParams();
  if (query.site) words.set("site", query.site);
  if (query.state) words.set("state", query.state);
  if (query.sort && query.sort !== "chance") words.set("sort", query.sort);
  if (query.page && query.page > 1) words.set("page", String(query.page));
  const text = words.toString();
  return text === "" ? "/units" : `/units?${text}`;
}

/** The units that the query asks for, in its order, all pages together. */
export function selectUnits(rows: readonly UnitRow[], query: FleetQuery): UnitRow[] {
  const chosen = rows.filter(
    (row) => (query.site === null || row.site === query.site) && matches(row, query.state),
  );
  // The rows come likeliest first; sorts are stable, so equal keys keep that order.
  return query.sort === "chance" ? chosen : chosen.sort(ORDER[query.sort]);
}

/** Out, or likely to be out before its service. */
export function isAtRisk(state: UnitState): boolean {
  return state === "out" || state === "heading-out";
}

function matches(row: UnitRow, filter: StateFilter | null): boolean {
  if (filter === null) return true;
  if (filter === "at-risk") return isAtRisk(row.state);
  if (filter === "overdue") return row.overdueCheck;
  return row.state === filter;
}

// Two missing days differ by NaN, which `|| 0` makes a tie.
const ORDER: Readonly<Record<Exclude<SortKey, "chance">, (a: UnitRow, b: UnitRow) => number>> = {
  due: (a, b) => (a.dueDay ?? Infinity) - (b.dueDay ?? Infinity) || 0,
  unit: (a, b) => compareNames(a.instrument, b.instrument),
  site: (a, b) => compareNames(a.site ?? "\uffff", b.site ?? "\uffff"),
  // Longest unchecked first: those are the ones to look for.
  checked: (a, b) => (a.lastCheckDay ?? -Infinity) - (b.lastCheckDay ?? -Infinity) || 0,
};

const names = new Intl.Collator("en", { numeric: true });

function compareNames(a: string, b: string): number {
  return names.compare(a, b);
}

function oneOf<T extends string>(key: string, value: string | null, allowed: readonly T[]): T | null {
  if (value === null) return null;
  const found = allowed.find((candidate) => candidate === value);
  if (found === undefined) throw unknown(key, value, allowed);
  return found;
}

function unknown(key: string, value: string, allowed: readonly string[]): HttpError {
  return new HttpError(
    400,
    `There is no ${key} called \u201c${value}\u201d.`,
    `In this address, ${key} can be ${allowed.join(", ")}.`,
  );
}
