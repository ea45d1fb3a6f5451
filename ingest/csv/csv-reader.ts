import { IngestError } from "../errors.ts";
import { type RawRecord, type RecordReader, unreadable } from "../record.ts";
import { type Line, LineSplitter } from "../text/split-lines.ts";
import { splitQuotedRows } from "./split-fields.ts";

/** A quoted field that runs on for longer than this was never closed. */
const MAX_OPEN_LINES = 1000;
const MAX_OPEN_LENGTH = 1_048_576;

/** A wide check of a hundred readings has some hundred columns. */
const MAX_COLUMNS = 5000;

/** One row on its way: its text, and whether quotes must be understood to split it. */
interface Row {
  readonly line: number;
  readonly raw: string;
  readonly quoted: boolean;
}

/**
 * Reads delimiter-separated text as records.
 *
 * @remarks
 * A row is one line, or several where a quoted field holds line ends. Where quotes do not close within
 * {@link MAX_OPEN_LINES} lines, or the joined lines do not make a row of the header's width, the first line
 * alone is unreadable and reading goes on at the next: a broken quote takes no other row with it.
 */
export class CsvReader implements RecordReader {
  columns: readonly string[];
  readonly #delimiter: string;
  readonly #lines = new LineSplitter();
  /** Lines not yet turned into records; the first one opens a quote. */
  #waiting: Line[] = [];
  #headerSeen: boolean;

  /** @param header The columns where they are known already, and the text begins with a row. */
  constructor(delimiter: string, header: readonly string[] | null = null) {
    this.#delimiter = delimiter;
    this.columns = header ?? [];
    this.#headerSeen = header !== null;
  }

  push(piece: string): RawRecord[] {
    return this.#read(this.#lines.push(piece), false);
  }

  end(): RawRecord[] {
    return this.#read(this.#lines.end(), true);
  }

  /** Lines that were split elsewhere. @param isLast Whether the text ends with them. */
  pushLines(lines: Line[], isLast: boolean): RawRecord[] {
    return this.#read(lines, isLast);
  }

  /** Whether the header is known and no row is half read. */
  get isBetweenRows(): boolean {
    return this.#headerSeen && this.#waiting.length === 0;
  }

  #read(lines: Line[], isLast: boolean): RawRecord[] {
    const all = this.#waiting.length === 0 ? lines : this.#waiting.concat(lines);
    const records: RawRecord[] = [];
    let simple: Row[] = [];
    let next = 0;
    while (next < all.length) {
      const line = all[next]!;
      if (this.#isBlank(line.text)) {
        next++;
        continue;
      }
      if (!this.#headerSeen) {
        this.#readHeader(line);
        next++;
        continue;
      }
      if (hasClosedQuotes(line.text)) {
        simple.push({ line: line.number, raw: line.text, quoted: line.text.includes('"') });
        next++;
        continue;
      }
      const closing = closingLine(all, next);
      if (closing === null && !isLast && !isBeyondBound(all, next)) break;
      records.push(...this.#split(simple));
      simple = [];
      const joined = closing === null ? null : this.#splitJoined(all.slice(next, closing + 1));
      if (joined === null) {
        records.push(
          unreadable(
            { line: line.number, column: 1, raw: line.text },
            "a quoted field is opened and not closed properly",
          ),
        );
        next++;
      } else {
        records.push(joined);
        next = closing! + 1;
      }
    }
    records.push(...this.#split(simple));
    this.#waiting = all.slice(next);
    return records;
  }

  /** Whether a line holds no value: spreadsheets leave rows of bare separators behind. */
  #isBlank(text: string): boolean {
    for (let i = 0; i < text.length; i++) {
      if (text[i] !== this.#delimiter && text[i]!.trim() !== "") return false;
    }
    return true;
  }

  #readHeader(line: Line): void {
    const fields = line.text.includes('"')
      ? splitQuotedRows([line.text], this.#delimiter)[0]
      : line.text.split(this.#delimiter);
    if (!fields) {
      throw new IngestError("bad-header", `Line ${line.number}: the quotes of the header do not close.`);
    }
    if (fields.length > MAX_COLUMNS) {
      throw new IngestError(
        "bad-header",
        `Line ${line.number}: the header has ${fields.length} columns; at most ${MAX_COLUMNS} are read.`,
      );
    }
    this.columns = fields.map((name) => name.trim());
    this.#headerSeen = true;
  }

  /** Rows of one line each, to records. */
  #split(rows: readonly Row[]): RawRecord[] {
    const quoted = rows.filter((row) => row.quoted);
    const split =
      quoted.length === 0
        ? []
        : splitQuotedRows(
            quoted.map((row) => row.raw),
            this.#delimiter,
          );
    let nextQuoted = 0;
    return rows.map(({ line, raw, quoted: isQuoted }) => {
      const fields = isQuoted ? split[nextQuoted++]! : raw.split(this.#delimiter);
      if (fields === null) return unreadable({ line, column: 1, raw }, "its quotes are broken");
      if (fields.length !== this.columns.length) {
        return unreadable({ line, column: 1, raw }, widthProblem(fields.length, this.columns.length));
      }
      return { line, column: 1, part: 0, raw, fields, problem: null };
    });
  }

  /** One row of several lines, or null where they do not make one. */
  #splitJoined(lines: readonly Line[]): RawRecord | null {
    const raw = lines.map((line, i) => (i === lines.length - 1 ? line.text : line.text + line.end)).join("");
    const fields = splitQuotedRows([raw], this.#delimiter)[0]!;
    if (fields === null || fields.length !== this.columns.length) return null;
    return { line: lines[0]!.number, column: 1, part: 0, raw, fields, problem: null };
  }
}

function widthProblem(found: number, expected: number): string {
  const fields = found === 1 ? "1 field" : `${found} fields`;
  return `it has ${fields} where the header has ${expected}: a separator is missing, left over, or stands inside a field without quotes`;
}

/** Whether every quote opened on a line is closed on it. */
function hasClosedQuotes(text: string): boolean {
  return text.indexOf('"') < 0 || quotesIn(text) % 2 === 0;
}

function quotesIn(text: string): number {
  let count = 0;
  for (let at = text.indexOf('"'); at >= 0; at = text.indexOf('"', at + 1)) count++;
  return count;
}

/** Index of the line that closes the quote opened on line `first`; null where none does within the bounds. */
function closingLine(lines: readonly Line[], first: number): number | null {
  let length = lines[first]!.text.length;
  for (let i = first + 1; i < lines.length && i - first < MAX_OPEN_LINES; i++) {
    length += lines[i]!.text.length;
    if (length > MAX_OPEN_LENGTH) return null;
    if (!hasClosedQuotes(lines[i]!.text)) return i;
  }
  return null;
}

/** Whether so much follows line `first` that an open quote is given up. */
function isBeyondBound(lines: readonly Line[], first: number): boolean {
  if (lines.length - first >= MAX_OPEN_LINES) return true;
  let length = 0;
  for (let i = first; i < lines.length; i++) length += lines[i]!.text.length;
  return length > MAX_OPEN_LENGTH;
}
