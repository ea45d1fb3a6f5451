import type { PatternName, UnitState } from "../../analysis/index.ts";
import { HttpError } from "../errors.ts";
import { oncePer } from "../once-per.ts";
import type { UnitRow } from "./unit-row.ts";

/** Which units a table shows and in what order, as the address says it. */
export interface FleetQuery {
  readonly site: string | null;
  readonly state: StateFilter | null;
  readonly pattern: PatternName | null;
  readonly sort: SortKey;
  /** Whether the order is turned round: last comes first. */
  readonly turned: boolean;
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

export const PATTERN_FILTERS = [
  "span",
  "zero",
  "curvature",
  "friction",
  "step",
  "scatter",
  "none",
] as const satisfies readonly PatternName[];

export const SORT_KEYS = ["chance", "due", "unit", "site", "checked"] as const;
export type SortKey = (typeof SORT_KEYS)[number];

export const ROWS_PER_PAGE = 50;

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
    pattern: oneOf("pattern", text("pattern"), PATTERN_FILTERS),
    sort: oneOf("sort", text("sort"), SORT_KEYS) ?? "chance",
    turned: oneOf("order", text("order"), ["turned"]) !== null,
    page,
  };
}

/** The same as names and values, as an address or a form has them: only what differs from the plain table. */
export function fleetFields(query: Partial<FleetQuery>): (readonly [string, string])[] {
  const { site, state, pattern, sort, turned, page } = query;
  return [
    ...(site ? [["site", site] as const] : []),
    ...(state ? [["state", state] as const] : []),
    ...(pattern ? [["pattern", pattern] as const] : []),
    ...(sort && sort !== "chance" ? [["sort", sort] as const] : []),
    ...(turned ? [["order", "turned"] as const] : []),
    ...(page && page > 1 ? [["page", String(page)] as const] : []),
  ];
}

export function fleetAddress(query: Partial<FleetQuery>): string {
  const text = new URLSearchParams(fleetFields(query).map(([name, value]) => [name, value])).toString();
  return text === "" ? "/units" : `/units?${text}`;
}

/** The units that the query asks for, in its order, all pages together. */
export function selectUnits(rows: readonly UnitRow[], query: FleetQuery): UnitRow[] {
  const chosen = inOrder(rows, query.sort).filter(
    (row) =>
      (query.site === null || row.site === query.site) &&
      (query.pattern === null || row.pattern === query.pattern) &&
      matches(row, query.state),
  );
  return query.turned ? chosen.reverse() : chosen;
}

/** The rows in each order that was asked for: ten thousand names are not sorted anew for every reader. */
const ordersOf = oncePer((_rows: readonly UnitRow[]) => new Map<SortKey, readonly UnitRow[]>());

function inOrder(rows: readonly UnitRow[], sort: SortKey): readonly UnitRow[] {
  // The rows come likeliest first; sorts are stable, so equal keys keep that order.
  if (sort === "chance") return rows;
  const orders = ordersOf(rows);
  const sorted = orders.get(sort) ?? rows.toSorted(ORDER[sort]);
  orders.set(sort, sorted);
  return sorted;
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
  unit: (a, b) => compare(namesOf(a).unit, namesOf(b).unit),
  site: (a, b) => compare(namesOf(a).site, namesOf(b).site),
  // Longest unchecked first: those are the ones to look for.
  checked: (a, b) => (a.lastCheckDay ?? -Infinity) - (b.lastCheckDay ?? -Infinity) || 0,
};

/** Names as they are sorted; a row without a site comes last. */
const namesOf = oncePer((row: UnitRow) => ({
  unit: sortable(row.instrument),
  site: row.site === null ? "\uffff" : sortable(row.site),
}));

/** Numbers in it padded, so that 9 comes before 10: ten times as fast as a collator, over ten thousand names. */
function sortable(name: string): string {
  return name
    .normalize("NFKD")
    .toLowerCase()
    .replace(/\d+/g, (digits) => digits.padStart(12, "0"));
}

function compare(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0;
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
