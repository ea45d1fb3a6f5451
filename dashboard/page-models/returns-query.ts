import type { ReturnsQuestion } from "../assessment/booking-problem.ts";
import { mondayOfIsoWeek } from "../assessment/iso-weeks.ts";
import { HttpError } from "../errors.ts";

/** What the address of the return plan asks for. null: as the settings say. */
export interface ReturnsQuery extends Variation {
  /** Weeks that take in another number, each week once; 0: closed. */
  readonly otherWeeks: readonly { readonly week: string; readonly takes: number }[];
  /** Weeks chosen by hand: instrument and ISO week. */
  readonly fixed: readonly { readonly instrument: string; readonly week: string }[];
  /** Other plans to hold beside this one. */
  readonly against: readonly Variation[];
  /** The unit that is to be moved. */
  readonly unit: string | null;
  /** Whether all weeks are listed. */
  readonly all: boolean;
  /** The one week that is listed; null: the next ones, or all. */
  readonly week: string | null;
  /** Of the list; 1 is the first. */
  readonly page: number;
}

/** What can be varied and compared. */
export interface Variation {
  readonly capacity: number | null;
  readonly spare: number | null;
  /** Unit: % of units that are to be in tolerance when they return. */
  readonly targetPercent: number | null;
}

const MOST_VARIATIONS = 4;
const MOST_FIXED = 200;

/** @throws {HttpError} 400 for a value that cannot be; says what can. */
export function readReturnsQuery(query: Readonly<Record<string, unknown>>): ReturnsQuery {
  const texts = (key: string): string[] =>
    [query[key]].flat().filter((value): value is string => typeof value === "string" && value !== "");
  return {
    ...readVariation([texts("capacity")[0], texts("spare")[0], texts("target")[0]]),
    otherWeeks: latestOf(
      texts("closed")
        .flatMap((text) => text.split(/[\s,]+/))
        .filter((text) => text !== "")
        .map(otherWeek),
      ({ week }) => week,
    ),
    fixed: latestOf(texts("fix").slice(-MOST_FIXED).map(readFixed), ({ instrument }) => instrument),
    against: [...texts("against").map((text) => readVariation(text.split(","))), ...besideIt(texts)].slice(
      -MOST_VARIATIONS,
    ),
    unit: texts("unit")[0] ?? null,
    all: texts("weeks")[0] === "all",
    week: texts("week").map(listedWeek)[0] ?? null,
    page: wholeNumber("page", texts("page")[0]) ?? 1,
  };
}

/** The same as an address: only what differs from the settings. */
export function returnsAddress(query: ReturnsQuery, path = "/returns"): string {
  const text = new URLSearchParams(returnsFields(query)).toString();
  return text === "" ? path : `${path}?${text}`;
}

/** Names and values that stand for the query, for addresses and hidden fields. */
export function returnsFields(query: ReturnsQuery): [string, string][] {
  const fields: [string, string][] = [];
  const add = (name: string, value: string | number | null) => {
    if (value !== null) fields.push([name, String(value)]);
  };
  add("capacity", query.capacity);
  add("spare", query.spare);
  add("target", query.targetPercent);
  add("closed", query.otherWeeks.length > 0 ? otherWeeksText(query).replaceAll(" ", "") : null);
  for (const { instrument, week } of query.fixed) add("fix", `${instrument}@${week}`);
  for (const { capacity, spare, targetPercent } of query.against) {
    add("against", [capacity, spare, targetPercent].map((value) => value ?? "").join(","));
  }
  add("unit", query.unit);
  add("weeks", query.all ? "all" : null);
  add("week", query.week);
  add("page", query.page > 1 ? query.page : null);
  return fields;
}

/** The questions to the planner: this plan, the same without what was moved by hand or is kept, and those held beside it. */
export function questionsOf(query: ReturnsQuery): ReturnsQuestion[] {
  const base: ReturnsQuestion = {
    ...question(query),
    otherWeeks: Object.fromEntries(query.otherWeeks.map(({ week, takes }) => [week, takes])),
    fixed: new Map(query.fixed.map(({ instrument, week }) => [instrument, week])),
  };
  return [
    base,
    { ...base, fixed: new Map(), withoutKept: true },
    ...query.against.map((variation) => ({
      ...base,
      // What a variation leaves open is as in the plan.
      ...question({
        capacity: variation.capacity ?? query.capacity,
        spare: variation.spare ?? query.spare,
        targetPercent: variation.targetPercent ?? query.targetPercent,
      }),
    })),
  ];
}

function question({ capacity, spare, targetPercent }: Variation) {
  return {
    capacityPerWeek: capacity,
    sparePerSite: spare,
    reliabilityTarget: targetPercent === null ? null : targetPercent / 100,
  };
}

/** A plan to hold beside this one, as the form on the page asks for it. */
function besideIt(texts: (key: string) => string[]): Variation[] {
  const fields = ["beside-capacity", "beside-spare", "beside-target"].map((key) => texts(key)[0]);
  return fields.some((field) => field !== undefined) ? [readVariation(fields)] : [];
}

function readVariation([capacity, spare, target]: readonly (string | undefined)[]): Variation {
  return {
    capacity: wholeNumber("capacity", capacity),
    spare: wholeNumber("spare", spare),
    targetPercent: percentOf(target),
  };
}

function wholeNumber(key: string, text: string | undefined): number | null {
  if (text === undefined || text === "") return null;
  const value = /^\d{1,4}$/.test(text) ? Number(text) : 0;
  if (value < 1) throw unreadable(key, text, "a whole number from 1 to 9999");
  return value;
}

function percentOf(text: string | undefined): number | null {
  if (text === undefined || text === "") return null;
  const value = Number(text);
  if (!(value > 50 && value < 100)) throw unreadable("target", text, "a percentage above 50 and below 100");
  return value;
}

/** "2026-W52, 2026-W32=2": as it is written into the field. */
export function otherWeeksText({ otherWeeks }: Pick<ReturnsQuery, "otherWeeks">): string {
  return otherWeeks.map(({ week, takes }) => (takes === 0 ? week : `${week}=${takes}`)).join(", ");
}

function otherWeek(text: string): { week: string; takes: number } {
  const [week = "", takes] = text.split("=");
  if (mondayOfIsoWeek(week) === null || (takes !== undefined && !/^\d{1,4}$/.test(takes))) {
    throw unreadable("closed", text, "weeks like 2026-W14, or with the number they take, 2026-W14=2");
  }
  return { week, takes: Number(takes ?? 0) };
}

function listedWeek(text: string): string {
  if (mondayOfIsoWeek(text) === null) throw unreadable("week", text, "a week like 2026-W14");
  return text;
}

function readFixed(text: string): { instrument: string; week: string } {
  const at = text.lastIndexOf("@");
  const week = text.slice(at + 1);
  if (at < 1 || mondayOfIsoWeek(week) === null)
    throw unreadable("fix", text, "a unit and a week like U-1@2026-W20");
  return { instrument: text.slice(0, at), week };
}

/** What is said twice holds as it was said last. */
function latestOf<T>(said: readonly T[], nameOf: (one: T) => string): T[] {
  return [...new Map(said.map((one) => [nameOf(one), one])).values()];
}

function unreadable(key: string, text: string, allowed: string): HttpError {
  return new HttpError(
    400,
    `\u201c${text}\u201d cannot be the ${key} of a return plan.`,
    `In this address, ${key} takes ${allowed}.`,
  );
}
