import type { RawRecord } from "../record.ts";
import { type Line, lineTooLong, MAX_LINE_LENGTH } from "../text/split-lines.ts";
import { CsvReader } from "./csv-reader.ts";
import { type PlainForm, type PlainKind, PlainRow } from "./plain-row.ts";

const FEED = 10;
const RETURN = 13;

/** What is done with the rows of a CSV file, in the order of its lines. */
export interface CsvRows {
  /** What is wanted of each field; called once, when the header is known. */
  readonly kindsOf: (columns: readonly string[]) => readonly PlainKind[];
  /**
   * A plain row, to be looked at at once.
   * @returns Whether that was enough; else the same row comes again as a record.
   */
  readonly plain: (row: PlainRow, bytes: Uint8Array) => boolean;
  /** Rows that are not plain, or were not taken as such. */
  readonly records: (columns: readonly string[], records: readonly RawRecord[]) => void;
}

/**
 * Reads a CSV file from its bytes: plain rows as they are, all others, and the header, by way of `CsvReader`.
 *
 * @throws {IngestError} "line-too-long", and what the header may have wrong.
 */
export class PlainCsvReader {
  readonly #form: PlainForm;
  readonly #rows: CsvRows;
  readonly #others: CsvReader;
  readonly #decoder: TextDecoder;
  #row: PlainRow | null = null;
  #rest: Uint8Array = new Uint8Array(0);
  #line = 1;
  #isFirst = true;
  /** Lines that go to `CsvReader` together: a call costs more than a row. */
  #lines: Line[] = [];

  constructor(form: PlainForm, rows: CsvRows) {
    this.#form = form;
    this.#rows = rows;
    this.#others = new CsvReader(form.delimiter);
    this.#decoder = new TextDecoder(form.encoding, { ignoreBOM: true });
  }

  /** @returns The bytes to which what the rows say of their place refers; they are nobody else's. */
  push(piece: Uint8Array): Uint8Array {
    const bytes = this.#after(piece);
    const stop = endOfLines(bytes);
    this.#read(bytes, stop, false);
    this.#rest = bytes.slice(stop);
    if (this.#rest.length > MAX_LINE_LENGTH) throw lineTooLong(this.#line);
    return bytes;
  }

  end(): Uint8Array {
    this.#read(this.#rest, this.#rest.length, true);
    return this.#rest;
  }

  /** A piece behind what was left of the one before, without a byte-order mark. */
  #after(piece: Uint8Array): Uint8Array {
    const rest = this.#rest;
    const bytes = new Uint8Array(rest.length + piece.length);
    bytes.set(rest);
    bytes.set(piece, rest.length);
    if (!this.#isFirst || bytes.length < 3) return bytes;
    this.#isFirst = false;
    const isMarked = bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf;
    return isMarked && this.#form.encoding === "utf-8" ? bytes.slice(3) : bytes;
  }

  #read(bytes: Uint8Array, stop: number, isLast: boolean): void {
    let at = 0;
    while (at < stop) {
      let next = -1;
      if (this.#others.isBetweenRows) {
        next = this.#lines.length === 0 ? this.#afterBlank(bytes, at) : -1;
        if (next < 0) next = this.#readPlain(bytes, at, stop);
      }
      at = next < 0 ? this.#addLine(bytes, at, stop) : next;
    }
    this.#readOthers(isLast);
  }

  /** @returns Where the line after an empty one begins; -1 where it is not empty. */
  #afterBlank(bytes: Uint8Array, at: number): number {
    if (bytes[at] !== FEED && bytes[at] !== RETURN) return -1;
    this.#line++;
    return at + lineEndWidth(bytes, at);
  }

  /** @returns Where the next row begins; -1 where this one is not plain, or was not taken. */
  #readPlain(bytes: Uint8Array, at: number, stop: number): number {
    this.#row ??= new PlainRow(this.#rows.kindsOf(this.#others.columns), this.#form);
    const row = this.#row;
    const next = row.read(bytes, at, stop);
    if (next < 0) return -1;
    if (this.#lines.length > 0) {
      this.#readOthers(false);
      if (!this.#others.isBetweenRows) return -1;
    }
    row.line = this.#line;
    if (!this.#rows.plain(row, bytes)) return -1;
    this.#line++;
    return next;
  }

  /** Puts a line aside as text. @returns Where the next one begins. */
  #addLine(bytes: Uint8Array, at: number, stop: number): number {
    let end = at;
    while (end < stop && bytes[end] !== FEED && bytes[end] !== RETURN) end++;
    if (end - at > MAX_LINE_LENGTH) throw lineTooLong(this.#line);
    const width = end >= stop ? 0 : lineEndWidth(bytes, end);
    this.#lines.push({
      number: this.#line++,
      text: this.#decoder.decode(bytes.subarray(at, end)),
      end: width === 2 ? "\r\n" : width === 0 ? "" : bytes[end] === FEED ? "\n" : "\r",
    });
    // The header is wanted at once: the rows after it are read by it.
    if (this.#others.columns.length === 0) this.#readOthers(false);
    return end + width;
  }

  #readOthers(isLast: boolean): void {
    if (this.#lines.length === 0 && !isLast) return;
    const records = this.#others.pushLines(this.#lines, isLast);
    this.#lines = [];
    if (records.length > 0) this.#rows.records(this.#others.columns, records);
  }
}

function lineEndWidth(bytes: Uint8Array, at: number): 1 | 2 {
  return bytes[at] === RETURN && bytes[at + 1] === FEED ? 2 : 1;
}

/** Where the last whole line ends; a return at the very end may be the first half of a pair. */
function endOfLines(bytes: Uint8Array): number {
  const afterFeed = bytes.lastIndexOf(FEED) + 1;
  // Not all bytes are looked through for a return that no line of the file ends with.
  return afterFeed + bytes.subarray(afterFeed, -1).lastIndexOf(RETURN) + 1;
}
