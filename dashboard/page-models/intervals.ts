import type { GroupInterval, UnitInterval } from "../../analysis/index.ts";
import type { ServiceFacts } from "../assessment/service-desk.ts";
import { HttpError } from "../errors.ts";

type IntervalAdvice = NonNullable<UnitInterval["advice"]>["advice"];

export const ADVICE_FILTERS = ["shorten", "lengthen", "keep"] as const satisfies readonly IntervalAdvice[];

/** Which units the table shows, as the address says it. */
export interface IntervalsQuery {
  readonly advice: IntervalAdvice | null;
  readonly site: string | null;
  /** 1 is the first. */
  readonly page: number;
}

/** What interval each unit and group has earned. */
export interface IntervalsPage {
  readonly asOf: string;
  readonly query: IntervalsQuery;
  readonly target: number;
  readonly longestDays: number;
  readonly groups: readonly GroupInterval[];
  readonly counts: Readonly<Record<IntervalAdvice | "all" | "unknown", number>>;
  readonly sites: readonly string[];
  /** All that the query selects, those to shorten first; the page shows `rows`. */
  readonly selected: readonly UnitInterval[];
  readonly rows: readonly UnitInterval[];
  readonly pages: number;
}

const ROWS_PER_PAGE = 50;

/** @throws {HttpError} 400 for a value that does not exist; says which there are. */
export function readIntervalsQuery(query: Readonly<Record<string, unknown>>): IntervalsQuery {
  const text = (key: string) => {
    const value = query[key];
    return typeof value === "string" && value !== "" ? value : null;
  };
  const advice = text("advice");
  const page = Number(text("page") ?? "1");
  if (advice !== null && !isAdvice(advice)) {
    throw new HttpError(400, `There is no advice "${advice}".`, `Known are ${ADVICE_FILTERS.join(", ")}.`);
  }
  if (!Number.isSafeInteger(page) || page < 1) {
    throw new HttpError(400, "There is no such page.", "Pages are numbered from 1.");
  }
  return { advice, site: text("site"), page };
}

function isAdvice(text: string): text is IntervalAdvice {
  return (ADVICE_FILTERS as readonly string[]).includes(text);
}

export function intervalsAddress(query: Partial<IntervalsQuery>): string {
  const words = new URLSearchParams();
  if (query.advice != null) words.set("advice", query.advice);
  if (query.site != null) words.set("site", query.site);
  if (query.page !== undefined && query.page > 1) words.set("page", String(query.page));
  const text = words.toString();
  return text === "" ? "/intervals" : `/intervals?${text}`;
}

export function intervalsPage(facts: ServiceFacts, query: IntervalsQuery): IntervalsPage {
  const { units, groups } = facts.intervals;
  const count = (advice: IntervalAdvice) => units.filter((unit) => unit.advice?.advice === advice).length;
  const selected = units
    .filter((unit) => query.advice === null || unit.advice?.advice === query.advice)
    .filter((unit) => query.site === null || unit.site === query.site)
    .toSorted((a, b) => rank(a) - rank(b) || gain(b) - gain(a) || (a.instrument < b.instrument ? -1 : 1));
  const pages = Math.max(1, Math.ceil(selected.length / ROWS_PER_PAGE));
  const from = (Math.min(query.page, pages) - 1) * ROWS_PER_PAGE;
  return {
    asOf: facts.asOf,
    query,
    target: facts.settings.reliability_target,
    longestDays: facts.settings.planning.longest_interval_days,
    groups,
    counts: {
      all: units.length,
      shorten: count("shorten"),
      lengthen: count("lengthen"),
      keep: count("keep"),
      unknown: units.filter(({ advice }) => advice === null).length,
    },
    sites: [...new Set(units.flatMap(({ site }) => site ?? []))].sort(),
    selected,
    rows: selected.slice(from, from + ROWS_PER_PAGE),
    pages,
  };
}

function rank({ advice }: UnitInterval): number {
  return advice === null ? ADVICE_FILTERS.length : ADVICE_FILTERS.indexOf(advice.advice);
}

/** By how many days the advice differs from the present interval. */
function gain({ advice, presentDays }: UnitInterval): number {
  return advice === null || presentDays === null ? 0 : Math.abs(advice.days - presentDays);
}
