import { median } from "simple-statistics";
import { READING_COLUMNS, type ReadingColumn } from "../../columns/columns.ts";
import { parseNumber } from "../../columns/parse-number.ts";
import { numberedColumn } from "../../columns/reading-sets.ts";
import { conversionFor, isNumeric } from "../../columns/units.ts";
import { COLUMN_WORDS, wordsOf } from "./column-words.ts";
import { draftDates } from "./draft-dates.ts";

/** How far a proposal can be relied on: by name, by its words and its values, or by one of the two. */
export type Sureness = "sure" | "likely" | "unsure";

/** What one column of a file seems to be. */
export interface DraftedColumn {
  readonly header: string;
  /** Canonical name, with its number in the wide form; null: none that is known, and it is passed over. */
  readonly column: string | null;
  /** Unit as a profile writes it; null where it is the documented one. */
  readonly unit: string | null;
  readonly sureness: Sureness;
  readonly why: string;
}

interface Header {
  readonly text: string;
  /** Without the number of its reading. */
  readonly words: readonly string[];
  /** Number of the reading in the wide form; 0: for the whole row. */
  readonly number: number;
  readonly values: readonly string[];
}

interface Fit {
  readonly header: Header;
  readonly column: ReadingColumn;
  readonly score: number;
  readonly sureness: Sureness;
}

const TELLING = 3;
const FITTING = 1;
const UNIT_SAYS_SO = 2;
const VALUES_FIT = 1;
const MOST = 0.8;

/**
 * What each column of a file of readings seems to be, by the words of its header, its unit and its values.
 *
 * @param values Of each header, what stands below it in the first rows.
 */
export function draftColumns(
  headers: readonly string[],
  values: readonly (readonly string[])[],
  decimal: "." | ",",
): DraftedColumn[] {
  const read = headers.map((text, i) => toHeader(text, headers, values[i] ?? []));
  const fits = read
    .flatMap((header) => READING_COLUMNS.map((column) => fitOf(header, column, decimal)))
    .filter((fit) => fit !== null)
    .sort((a, b) => b.score - a.score);
  const columnOf = new Map<Header, Fit>();
  const taken = new Set<string>();
  for (const fit of fits) {
    const name = nameOf(fit);
    if (columnOf.has(fit.header) || taken.has(name)) continue;
    columnOf.set(fit.header, fit);
    taken.add(name);
  }
  const drafted = read.map((header): DraftedColumn => {
    const fit = columnOf.get(header);
    if (fit === undefined) {
      const why = "no column of ours goes by such words or holds such values";
      return { header: header.text, column: null, unit: null, sureness: "unsure", why };
    }
    const unit = unitOf(fit, decimal);
    return {
      header: header.text,
      column: nameOf(fit),
      unit: unit.name,
      sureness: fit.sureness,
      why: whyOf(fit, unit.why),
    };
  });
  return withThousands(drafted, read, decimal);
}

function toHeader(text: string, all: readonly string[], values: readonly string[]): Header {
  const written = text.trim();
  const known = numberedColumn(written.toLowerCase());
  const match = /^(.*?\D)[\s_#.-]*(\d{1,2})$/.exec(written);
  const siblings = match === null ? 0 : all.filter((other) => other.trim().startsWith(match[1]!)).length;
  const isNumbered = match !== null && (known !== null || siblings > 1);
  return {
    text: written,
    words: wordsOf(isNumbered ? match[1]! : written),
    number: isNumbered ? Number(match[2]) : 0,
    values: values.map((value) => value.trim()).filter((value) => value !== ""),
  };
}

function nameOf({ header, column }: Pick<Fit, "header" | "column">): string {
  return header.number === 0 ? column : `${column}_${header.number}`;
}

function fitOf(header: Header, column: ReadingColumn, decimal: "." | ","): Fit | null {
  const written = header.text.toLowerCase();
  if (written === nameOf({ header, column })) return { header, column, score: 100, sureness: "sure" };
  const holds = valuesFit(header, column, decimal);
  if (holds === false) return null;
  const { telling, fitting } = COLUMN_WORDS[column];
  const count = (words: string) => {
    const list = words.split(" ");
    return header.words.filter((word) => list.includes(word)).length;
  };
  const tells = count(telling);
  const byWords = TELLING * tells + FITTING * count(fitting);
  const byUnit = namedUnit(header, column) === null ? 0 : UNIT_SAYS_SO;
  const byValues = holds === true ? VALUES_FIT : 0;
  if (byWords === 0 && !(column === "checked_at" && holds === true)) return null;
  const sureness = tells > 0 && holds === true ? "sure" : tells > 0 ? "likely" : "unsure";
  return { header, column, score: byWords + byUnit + byValues, sureness };
}

/** null where there are no values to tell by. */
function valuesFit({ values }: Header, column: ReadingColumn, decimal: "." | ","): boolean | null {
  if (values.length === 0) return null;
  if (column === "checked_at") return draftDates(values) !== null;
  const numbers = values.filter((value) => !Number.isNaN(parseNumber(value, decimal))).length;
  if (isNumeric(column)) return numbers >= MOST * values.length;
  // An instrument or a lot may well be called by a number; a stage, a site or a person is not.
  const maybeNumber =
    column === "instrument" || column === "fluid_lot" || column === "check_id" || column === "geometry";
  return maybeNumber || numbers < MOST * values.length;
}

/** The unit that a header names for a column; null where it names none that fits. */
function namedUnit({ text, number }: Header, column: ReadingColumn): string | null {
  const written = number === 0 ? text : text.replace(/[\s_#.-]*\d{1,2}$/, "");
  const bracketed = [...written.matchAll(/[[(]([^\])]+)[\])]/g)].map((match) => match[1]!);
  const perSecond = /\bper (s|sec|second)\b/i.test(written) ? ["/s"] : [];
  const last = written.split(/[\s_,]+/).slice(1);
  return [...bracketed, ...perSecond, ...last].find((unit) => conversionFor(column, unit) !== null) ?? null;
}

function unitOf({ header, column }: Fit, decimal: "." | ","): { name: string | null; why: string | null } {
  const named = namedUnit(header, column);
  const same = (unit: string) => [0.7, 2, 31].every((x) => conversionFor(column, unit)?.(x) === x);
  if (named !== null)
    return same(named) ? { name: null, why: null } : { name: named, why: `its unit "${named}"` };
  const middle = middleOf(numbersOf(header, decimal));
  if (column === "temperature_c" && middle > 60 && middle < 120) {
    return { name: "[degF]", why: `${middle} can hardly be °C` };
  }
  if (column === "temperature_c" && middle > 270) return { name: "K", why: `${middle} can hardly be °C` };
  if (column === "torque_percent" && middle > 0 && middle <= 1) {
    return { name: "1", why: `${middle} can hardly be %` };
  }
  return { name: null, why: null };
}

/** Of reading and value without a named unit, the one that is a thousandth of the other is taken to be in Pa·s. */
function withThousands(
  drafted: readonly DraftedColumn[],
  headers: readonly Header[],
  decimal: "." | ",",
): DraftedColumn[] {
  const isViscosity = ({ column }: DraftedColumn) => /^(reading|fluid_value)_mpas/.test(column ?? "");
  const middles = drafted.map((draft, i) =>
    isViscosity(draft)
      ? middleOf(numbersOf(headers[i]!, decimal)) * (draft.unit === "Pa.s" ? 1000 : 1)
      : Number.NaN,
  );
  const largest = Math.max(0, ...middles.filter(Number.isFinite));
  return drafted.map((draft, i) => {
    const times = largest / middles[i]!;
    if (draft.unit !== null || !(times > 300 && times < 3000)) return draft;
    return {
      ...draft,
      unit: "Pa.s",
      sureness: "likely",
      why: `${draft.why}; a thousandth of the other: Pa·s?`,
    };
  });
}

function numbersOf({ values }: Header, decimal: "." | ","): number[] {
  return values.map((value) => parseNumber(value, decimal)).filter(Number.isFinite);
}

/** NaN where there are none. */
function middleOf(numbers: readonly number[]): number {
  return numbers.length === 0 ? Number.NaN : median([...numbers]);
}

function whyOf({ header, column, sureness }: Fit, unit: string | null): string {
  const by = {
    sure: header.text.toLowerCase() === nameOf({ header, column }) ? "its name" : "its words and its values",
    likely: "its words; no value to tell by",
    unsure: "its values, hardly by its words",
  }[sureness];
  return unit === null ? by : `${by}; ${unit}`;
}
