import { POWERS_OF_TEN } from "../columns/parse-number.ts";
import type { Encoding } from "../text/encoding.ts";

/** What the fields of a column are read as. */
export const PLAIN = { skipped: 0, number: 1, text: 2 } as const;
export type PlainKind = (typeof PLAIN)[keyof typeof PLAIN];

const COMMA = 44;
const POINT = 46;
const FEED = 10;
const RETURN = 13;
const QUOTE = 34;
const ZERO = 48;
const NINE = 57;

/** Whole numbers of so many digits are exact, see `parseNumber`. */
const EXACT_DIGITS = 15;

/** What a byte is to a field: a part of it, its end, or a sign that the row is not plain. */
const PART = 0;
const END = 1;
const NOT_PLAIN = 2;

/** Longer texts are not compared with the row before. */
const COMPARED_BYTES = 64;

/** How the bytes of a file are to be understood; the delimiter is one ASCII character. */
export interface PlainForm {
  readonly delimiter: string;
  readonly decimal: "." | ",";
  readonly encoding: Encoding;
}

/**
 * One row of a CSV file, read from its bytes.
 *
 * @remarks
 * Nearly every row is plain: no quotes, as many fields as the header, numbers written with digits alone. Such a row
 * needs no strings but those that its texts are, and rows that follow each other share most of these. Whatever is not
 * plain is left to `CsvReader`, which knows what to say of it.
 */
export class PlainRow {
  /** By the place of the field in the row: its number; NaN where it is empty or none was asked for. */
  readonly numbers: Float64Array;
  /** By the place of the field in the row: its text without spaces around it. */
  readonly texts: string[];
  /** First line of the row, as an editor counts. */
  line = 0;
  /** Where its bytes stand, without the line end. */
  from = 0;
  until = 0;
  readonly #kinds: Uint8Array;
  readonly #delimiter: number;
  /** By byte: looked up faster than five comparisons are made. */
  readonly #meaning = new Uint8Array(256).fill(PART);
  readonly #mark: number;
  readonly #decoder: TextDecoder;
  /** Bytes of each text, as the row before had them. */
  readonly #known: readonly Uint8Array[];
  readonly #lengths: Int32Array;

  /** @param kinds What is wanted of each field; one for each column of the header. */
  constructor(kinds: readonly PlainKind[], { delimiter, decimal, encoding }: PlainForm) {
    this.#kinds = Uint8Array.from(kinds);
    this.numbers = new Float64Array(kinds.length).fill(Number.NaN);
    this.texts = kinds.map(() => "");
    this.#delimiter = delimiter.charCodeAt(0);
    for (const end of [this.#delimiter, FEED, RETURN]) this.#meaning[end] = END;
    for (const other of [QUOTE, 0]) this.#meaning[other] = NOT_PLAIN;
    this.#mark = decimal === "." ? POINT : COMMA;
    this.#decoder = new TextDecoder(encoding, { ignoreBOM: true });
    this.#known = kinds.map(() => new Uint8Array(COMPARED_BYTES));
    this.#lengths = new Int32Array(kinds.length).fill(-1);
  }

  /**
   * Reads the row that begins at a byte.
   *
   * @param stop End of the bytes; the last row may end there without a line end.
   * @returns Where the next row begins; -1 where this one is not plain.
   */
  read(bytes: Uint8Array, at: number, stop: number): number {
    const kinds = this.#kinds;
    const delimiter = this.#delimiter;
    const last = kinds.length - 1;
    let end = at;
    for (let place = 0; place <= last; place++) {
      const kind = kinds[place];
      if (kind === PLAIN.number) end = this.#number(bytes, end, stop, place);
      else if (kind === PLAIN.text) end = this.#text(bytes, end, stop, place);
      else end = this.#fieldEnd(bytes, end, stop);
      if (end < 0) return -1;
      if (place < last) {
        if (bytes[end] !== delimiter || end >= stop) return -1;
        end++;
      }
    }
    this.from = at;
    this.until = end;
    if (end >= stop) return stop;
    if (bytes[end] === FEED) return end + 1;
    if (bytes[end] !== RETURN) return -1;
    return end + 1 < stop && bytes[end + 1] === FEED ? end + 2 : end + 1;
  }

  /** @returns Where the field ends; -1 where it is no plain number. */
  #number(bytes: Uint8Array, from: number, stop: number, place: number): number {
    const mark = this.#mark;
    let whole = 0;
    let markAt = -1;
    let end = from;
    for (; end < stop; end++) {
      const byte = bytes[end]!;
      if (byte >= ZERO && byte <= NINE) whole = whole * 10 + (byte - ZERO);
      else if (byte === mark && markAt < 0 && byte !== this.#delimiter) markAt = end;
      else break;
    }
    const length = end - from;
    if (length > EXACT_DIGITS || (length === 1 && markAt >= 0)) return -1;
    if (length === 0) this.numbers[place] = Number.NaN;
    else this.numbers[place] = markAt < 0 ? whole : whole / POWERS_OF_TEN[end - 1 - markAt]!;
    return end;
  }

  /** @returns Where the field ends; -1 where quotes must be understood. */
  #text(bytes: Uint8Array, from: number, stop: number, place: number): number {
    const known = this.#known[place]!;
    const length = this.#lengths[place]!;
    if (length >= 0 && from + length < stop) {
      let i = 0;
      while (i < length && bytes[from + i] === known[i]) i++;
      if (i === length && this.#meaning[bytes[from + length]!] === END) return from + length;
    }
    const end = this.#fieldEnd(bytes, from, stop);
    if (end < 0) return -1;
    this.texts[place] = end === from ? "" : this.#decoder.decode(bytes.subarray(from, end)).trim();
    this.#lengths[place] = end - from <= COMPARED_BYTES ? end - from : -1;
    if (end - from <= COMPARED_BYTES) for (let i = from; i < end; i++) known[i - from] = bytes[i]!;
    return end;
  }

  /** @returns Where the field ends; -1 where it holds a quote or a zero. */
  #fieldEnd(bytes: Uint8Array, from: number, stop: number): number {
    const meaning = this.#meaning;
    let end = from;
    while (end < stop && meaning[bytes[end]!] === PART) end++;
    return end < stop && meaning[bytes[end]!] === NOT_PLAIN ? -1 : end;
  }
}
