import { DateTime, type TokenParser } from "luxon";

/** A full date, perhaps with a time: luxon alone would read "2023" as its first day. */
const ISO_WITH_DAY = /^\d{4}-?(?:\d{2}-?\d{2}|W\d{2}-?\d|\d{3})(?:[T ]\d{2}.*)?$/;
const ISO_OFFSET = /T.*(?:Z|[+-]\d{2}(?::?\d{2})?)$/i;
/** The commonest form of all: it needs no library to be read. */
const UTC_TO_THE_SECOND = "0000-00-00T00:00:00Z";
const DIGIT = 48;
/** Tokens of luxon that stand for an offset or a zone. */
const FORMAT_OFFSET = /[Zz]/;

/** How a file writes its times. */
export interface TimeStyle {
  /** IANA name, for times without an offset. */
  readonly zone: string;
  /** Tokens of luxon, e.g. "dd.MM.yyyy HH:mm:ss"; null for ISO 8601. */
  readonly format: string | null;
}

/** How files write their times where no profile says otherwise. */
export const ISO_IN_UTC: TimeStyle = { zone: "utc", format: null };

/** A written form, and whether it carries its own offset. */
type Reader = (text: string, zone: string) => { time: DateTime; hasOffset: boolean } | null;

/**
 * Reads the times of one file: in its own format where it has one, else (or also) by ISO 8601.
 *
 * @remarks
 * The readings of a check follow each other with the same time, so the last answer is kept. A local time that
 * the change to summer time leaves out does not exist and is not read; of one that comes twice the first is taken.
 */
export class TimeReader {
  readonly #zone: string;
  readonly #format: string | null;
  readonly #readers: readonly Reader[];
  readonly #dayReaders: readonly Reader[];
  #lastText = "";
  #lastInstant = Number.NaN;

  constructor({ zone, format }: TimeStyle) {
    this.#zone = zone;
    this.#format = format;
    this.#readers = format === null ? [readIso] : [readFormat(format), readIso];
    // The day columns of a file whose times have a format of their own are written without a time.
    this.#dayReaders =
      format === null ? [readIso] : [readFormat(format), readFormat(dayPart(format)), readIso];
  }

  /** The instant in ms since 1970-01-01 UTC; NaN where the text is no time, or one that does not exist. */
  instantOf(text: string): number {
    if (text !== this.#lastText) {
      this.#lastText = text;
      const plain = this.#format === null ? plainUtc(text) : null;
      this.#lastInstant = plain ?? this.#read(text, this.#readers)?.toMillis() ?? Number.NaN;
    }
    return this.#lastInstant;
  }

  /** What a time should look like, as the end of a sentence. @param example One in ISO 8601. */
  expectation(example: string): string {
    const place = this.#zone === "utc" ? "" : ` in ${this.#zone}`;
    if (this.#format === null) return `${place}, written as expected (for example ${example})`;
    return `${place}, written as the profile says (${this.#format}) or by ISO 8601`;
  }

  /** The day as ISO text, as written: a day has no zone. Null where the text is no date. */
  dayOf(text: string): string | null {
    return this.#read(text, this.#dayReaders)?.toISODate() ?? null;
  }

  #read(text: string, readers: readonly Reader[]): DateTime | null {
    for (const read of readers) {
      const found = read(text, this.#zone);
      if (found === null) continue;
      if (found.hasOffset || this.#zone === "utc") return found.time;
      return existing(found.time, read(text, "utc")!.time);
    }
    return null;
  }
}

/**
 * A local time as its zone has it: null where the change to summer time leaves it out, the first where it comes twice.
 *
 * @remarks luxon by itself moves a time that does not exist, and chooses between two by the season of the day it is asked.
 */
function existing(time: DateTime, asWritten: DateTime): DateTime | null {
  if (time.hour !== asWritten.hour || time.minute !== asWritten.minute) return null;
  return DateTime.min(...time.getPossibleOffsets()) ?? null;
}

/** The instant of a time written as {@link UTC_TO_THE_SECOND}; null for any other text, and for a time that does not exist. */
function plainUtc(text: string): number | null {
  if (text.length !== UTC_TO_THE_SECOND.length) return null;
  let [year, month, day, hour, minute, second] = [0, 0, 0, 0, 0, 0];
  for (let i = 0; i < text.length; i++) {
    const code = text.charCodeAt(i);
    const expected = UTC_TO_THE_SECOND.charCodeAt(i);
    if (expected !== DIGIT) {
      if (code !== expected) return null;
      continue;
    }
    const digit = code - DIGIT;
    if (digit < 0 || digit > 9) return null;
    if (i < 4) year = 10 * year + digit;
    else if (i < 7) month = 10 * month + digit;
    else if (i < 10) day = 10 * day + digit;
    else if (i < 13) hour = 10 * hour + digit;
    else if (i < 16) minute = 10 * minute + digit;
    else second = 10 * second + digit;
  }
  // The language takes a year below 100 for one of the last century, and 30 February for 2 March.
  if (year < 100 || month < 1 || month > 12 || day < 1 || hour > 23 || minute > 59 || second > 59)
    return null;
  if (day > 28 && day > new Date(Date.UTC(year, month, 0)).getUTCDate()) return null;
  return Date.UTC(year, month - 1, day, hour, minute, second);
}

function readIso(text: string, zone: string) {
  if (!ISO_WITH_DAY.test(text)) return null;
  const iso = text.replace(" ", "T");
  const time = DateTime.fromISO(iso, { zone });
  return time.isValid ? { time, hasOffset: ISO_OFFSET.test(iso) } : null;
}

function readFormat(format: string): Reader {
  const parser: TokenParser = DateTime.buildFormatParser(format, { locale: "en" });
  const hasOffset = FORMAT_OFFSET.test(format.replace(/'[^']*'/g, ""));
  return (text, zone) => {
    const time = DateTime.fromFormatParser(text, parser, { zone, locale: "en" });
    return time.isValid ? { time, hasOffset } : null;
  };
}

/** "dd.MM.yyyy" of "dd.MM.yyyy HH:mm:ss": what stands before the first token of a time of day. */
function dayPart(format: string): string {
  return format.replace(/[\s,T']*[Hh].*$/, "");
}
