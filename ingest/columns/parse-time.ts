import { DateTime } from "luxon";

/** Full dates only: luxon would read "2023" as its first day. */
const ISO_WITH_DAY = /^\d{4}-?(?:\d{2}-?\d{2}|W\d{2}-?\d|\d{3})(?:[T ]\d{2}.*)?$/;

/** How a file writes its times. */
export interface TimeStyle {
  /** IANA name, for times without an offset. */
  readonly zone: string;
  /** Tokens of luxon, e.g. "dd.MM.yyyy HH:mm:ss"; null for ISO 8601. */
  readonly format: string | null;
}

export const ISO_IN_UTC: TimeStyle = { zone: "utc", format: null };

/**
 * Reads the times of one file.
 *
 * @remarks
 * The readings of a check follow each other with the same time, so the last answer is kept. A local time that
 * the change to summer time leaves out does not exist and is not read; one that comes twice is taken as the first.
 */
export class TimeReader {
  readonly #style: TimeStyle;
  #lastText = "";
  #lastInstant = Number.NaN;

  constructor(style: TimeStyle) {
    this.#style = style;
  }

  /** The instant in ms since 1970-01-01 UTC; NaN where the text is no time. */
  instantOf(text: string): number {
    if (text !== this.#lastText) {
      this.#lastText = text;
      this.#lastInstant = this.#read(text)?.toMillis() ?? Number.NaN;
    }
    return this.#lastInstant;
  }

  /** The day as ISO text, as written: a day has no zone. Null where the text is no date. */
  dayOf(text: string): string | null {
    return this.#read(text)?.toISODate() ?? null;
  }

  #read(text: string): DateTime | null {
    const { zone, format } = this.#style;
    const time =
      format === null
        ? ISO_WITH_DAY.test(text)
          ? DateTime.fromISO(text.replace(" ", "T"), { zone })
          : null
        : DateTime.fromFormat(text, format, { zone, locale: "en" });
    return time?.isValid ? time : null;
  }
}
