import { gzipSync } from "node:zlib";
import type { Random } from "../../support/random.ts";
import { type Manner, PER_READING, siteNumber, textOf } from "./manners.ts";
import { type Check, type Fate, type Field, pick, type Row } from "./network.ts";

/** A row that is to be held back, and where an editor shows it; `part` as for one of several readings of a check. */
export interface HeldPlace {
  readonly line: number;
  readonly part: number;
  readonly reason: string;
}

/** What is to come of a file. */
export interface Expected {
  rows: number;
  accepted: number;
  repeated: number;
  quarantined: number;
  flagged: number;
  readonly reasons: Record<string, number>;
  readonly flags: Record<string, number>;
  readonly held: HeldPlace[];
}

export function nothingYet(): Expected {
  return { rows: 0, accepted: 0, repeated: 0, quarantined: 0, flagged: 0, reasons: {}, flags: {}, held: [] };
}

/** A text that knows on which line it is being written. */
class Paper {
  text = "";
  line = 1;
  readonly #lineEnd: string;

  constructor(lineEnd: string) {
    this.#lineEnd = lineEnd;
  }

  add(text: string): void {
    this.text += text;
    this.line += text.split(this.#lineEnd).length - 1;
  }
}

/** Writes the checks as the site does. @returns The bytes, and what is to come of them. */
export function writeChecks(manner: Manner, checks: readonly Check[], random: Random) {
  const paper = new Paper(manner.lineEnd);
  const expected = nothingYet();
  const write = { long: writeTable, wide: writeTable, nested: writeNested, lines: writeLines }[manner.layout];
  write(manner, checks, random, paper, expected);
  return { bytes: encoded(paper.text, manner), expected };
}

function count(expected: Expected, fate: Fate, line: number, part: number): void {
  expected.rows++;
  expected[fate.is]++;
  if (fate.is === "quarantined") {
    bump(expected.reasons, fate.reason);
    expected.held.push({ line, part, reason: fate.reason });
  } else if (fate.is === "accepted" && fate.flags.length > 0) {
    expected.flagged++;
    for (const flag of fate.flags) bump(expected.flags, flag);
  }
}

function bump(counts: Record<string, number>, name: string): void {
  counts[name] = (counts[name] ?? 0) + 1;
}

const UNREADABLE: Fate = { is: "quarantined", reason: "unreadable-row" };

/** One line a reading, or one a check with its readings in numbered columns. */
function writeTable(
  manner: Manner,
  checks: readonly Check[],
  random: Random,
  paper: Paper,
  expected: Expected,
) {
  const isLong = manner.layout === "long";
  const sets = isLong ? 0 : Math.max(...checks.map(({ rows }) => rows.length)) + 1;
  const shared = isLong ? manner.fields : manner.fields.filter((field) => !PER_READING.includes(field));
  const columns: Column[] = shuffled(shared, random).map((field) => ({ field, set: 0 }));
  for (let set = 1; set <= sets; set++) for (const field of PER_READING) columns.push({ field, set });
  const names = columns.map(({ field, set }) => {
    if (set === 0) return manner.header(field);
    return manner.profile === null || manner.header(field).includes("_")
      ? `${manner.header(field)}_${set}`
      : `${manner.header(field)} ${set}`;
  });
  paper.add(
    names
      .map((name) => quoted(name, manner, random))
      .concat("remarks")
      .join(manner.delimiter) + manner.lineEnd,
  );

  for (const check of checks) {
    for (const rows of isLong ? check.rows.map((row) => [row]) : [check.rows]) {
      if (random.uniform() < 0.03) paper.add(manner.lineEnd);
      const fields = columns.map(({ field, set }) => {
        const row = rows[Math.max(0, set - 1)];
        return row === undefined ? "" : quoted(textOf(manner, row, field), manner, random);
      });
      fields.push(quoted(remark(manner, random), manner, random));
      const { line } = paper;
      const isBroken = check.broken && rows[0] === check.rows[0];
      paper.add((isBroken ? broken(fields, manner, random) : fields.join(manner.delimiter)) + manner.lineEnd);
      if (isBroken) count(expected, UNREADABLE, line, 0);
      else for (const [i, row] of rows.entries()) count(expected, row.fate, line, isLong ? 0 : i + 1);
    }
  }
}

interface Column {
  readonly field: Field;
  /** 0: for the whole line. */
  readonly set: number;
}

/** A line with a field too many or too few, or with a quote that nobody closed. */
function broken(fields: readonly string[], { delimiter }: Manner, random: Random): string {
  const kind = pick(random, ["more", "fewer", "cut", "quote"] as const);
  const whole = fields.map((field) => field.replace(/[\r\n]+/g, " "));
  const at = Math.floor(random.uniform() * (fields.length - 2)) + 1;
  switch (kind) {
    case "more":
      return [...whole.slice(0, at), "and", ...whole.slice(at)].join(delimiter);
    case "fewer":
      return [...whole.slice(0, at), ...whole.slice(at + 1)].join(delimiter);
    case "cut":
      return whole.slice(0, at).join(delimiter);
    case "quote":
      return whole.map((field, i) => (i === at ? `"${field.replaceAll('"', "")}` : field)).join(delimiter);
  }
}

function remark({ delimiter, lineEnd, encoding }: Manner, random: Random): string {
  if (random.uniform() < 0.7) return "";
  const dash = encoding === "windows-1252" ? "\u2013" : "\u2192";
  return pick(random, [
    "looked at the bath",
    `a${delimiter} b`,
    `she said "fine"`,
    `two${lineEnd}lines`,
    `${dash} see log`,
    `"${delimiter}"${lineEnd}${delimiter}`,
  ]);
}

function quoted(text: string, { delimiter, quotesAll, lineEnd }: Manner, random: Random): string {
  const must = [delimiter, '"', lineEnd].some((sign) => text.includes(sign));
  if (!must && !quotesAll && random.uniform() > 0.02) return text;
  return `"${text.replaceAll('"', '""')}"`;
}

function shuffled<T>(list: readonly T[], random: Random): T[] {
  return list
    .map((item) => ({ item, key: random.uniform() }))
    .sort((a, b) => a.key - b.key)
    .map(({ item }) => item);
}

/** An array of check objects, each with its readings, written over many lines. */
function writeNested(
  manner: Manner,
  checks: readonly Check[],
  random: Random,
  paper: Paper,
  expected: Expected,
) {
  paper.add("[\n  ");
  for (const [i, check] of checks.entries()) {
    if (i > 0) paper.add(pick(random, [",\n  ", ", ", ",\n\n"]));
    const { line } = paper;
    if (check.broken && random.uniform() < 0.5) {
      paper.add(pick(random, ['"no object"', "17", "null", '["a", {"b": 1}]']));
      count(expected, UNREADABLE, line, 0);
      continue;
    }
    const shared = manner.fields.filter((field) => !PER_READING.includes(field));
    const readings: unknown[] = check.rows.map((row) => object(manner, row, PER_READING, random));
    if (check.broken) readings[0] = pick(random, ["95.6", 95.6, null, [95.6]]);
    paper.add(
      JSON.stringify(
        { ...object(manner, check.rows[0]!, shared, random), readings },
        null,
        pick(random, [2, 0]),
      ),
    );
    for (const [r, row] of check.rows.entries()) {
      count(expected, check.broken && r === 0 ? UNREADABLE : row.fate, line, r + 1);
    }
  }
  paper.add("\n]\n");
}

/** One object a line, one line a reading. */
function writeLines(
  manner: Manner,
  checks: readonly Check[],
  random: Random,
  paper: Paper,
  expected: Expected,
) {
  for (const check of checks) {
    for (const row of check.rows) {
      const text = JSON.stringify(object(manner, row, manner.fields, random));
      const isBroken = check.broken && row === check.rows[0];
      const { line } = paper;
      const cut = Math.ceil(random.uniform() * (text.length - 1));
      const written = isBroken
        ? pick(random, [text.slice(0, cut), "-- end of page --", "[1, 2]", `${text}}`])
        : text;
      paper.add(written + manner.lineEnd + (random.uniform() < 0.03 ? manner.lineEnd : ""));
      count(expected, isBroken ? UNREADABLE : row.fate, line, 0);
    }
  }
}

/** Numbers are numbers, or texts now and then; an empty field is null, empty text, or no key at all. */
function object(manner: Manner, row: Row, fields: readonly Field[], random: Random): Record<string, unknown> {
  const result: Record<string, unknown> = {};
  for (const field of fields) {
    const value = row[field];
    const text = textOf(manner, row, field);
    if (text === "") {
      const empty = pick(random, [null, "", undefined]);
      if (empty !== undefined) result[manner.header(field)] = empty;
    } else if (
      typeof value === "number" &&
      field !== "at" &&
      !(field in row.written) &&
      random.uniform() < 0.95
    ) {
      result[manner.header(field)] = siteNumber(manner, field, value);
    } else {
      result[manner.header(field)] = text;
    }
  }
  return result;
}

function encoded(text: string, { encoding, mark, zipped }: Manner): Uint8Array {
  const marked = mark ? `\uFEFF${text}` : text;
  const bytes =
    encoding === "utf-8"
      ? Buffer.from(marked)
      : encoding === "utf-16le"
        ? Buffer.from(marked, "utf16le")
        : encoding === "utf-16be"
          ? Buffer.from(marked, "utf16le").swap16()
          : // Byte 0x96 is the dash there; all else that is written stands where Latin-1 has it.
            Buffer.from(text.replaceAll("\u2013", "\x96"), "latin1");
  return zipped ? gzipSync(bytes) : bytes;
}
