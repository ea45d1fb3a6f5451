import { IngestError } from "../errors.ts";

/** One line of a file. */
export interface Line {
  /** As an editor counts, from 1. */
  readonly number: number;
  readonly text: string;
  /** What ended it: "\n", "\r\n", "\r", or nothing at the end of the file. */
  readonly end: string;
}

/** A table of readings has lines of some hundred characters; a wide check some thousand. */
export const MAX_LINE_LENGTH = 1_048_576;

/**
 * Turns pieces of text into lines, whatever ends them.
 *
 * @remarks Holds at most one unfinished line.
 * @throws {IngestError} "line-too-long" beyond {@link MAX_LINE_LENGTH} characters.
 */
export class LineSplitter {
  #rest = "";
  #number = 1;

  /** The lines that this piece completes. */
  push(piece: string): Line[] {
    const text = this.#rest + piece;
    const lines: Line[] = [];
    let start = 0;
    let feed = text.indexOf("\n");
    let carriage = text.indexOf("\r");
    while (feed >= 0 || carriage >= 0) {
      let end = feed;
      let width = 1;
      if (carriage >= 0 && (feed < 0 || carriage < feed)) {
        // A carriage return at the end of the piece may be the first half of a pair.
        if (carriage === text.length - 1) break;
        end = carriage;
        if (feed === carriage + 1) width = 2;
      }
      lines.push(this.#line(text.slice(start, end), text.slice(end, end + width)));
      start = end + width;
      if (feed >= 0 && feed < start) feed = text.indexOf("\n", start);
      if (carriage >= 0 && carriage < start) carriage = text.indexOf("\r", start);
    }
    this.#rest = start === 0 ? text : text.slice(start);
    if (this.#rest.length > MAX_LINE_LENGTH) throw lineTooLong(this.#number);
    return lines;
  }

  /** The last line, where the file does not end with a line end. */
  end(): Line[] {
    const text = this.#rest;
    this.#rest = "";
    if (text === "") return [];
    return text.endsWith("\r") ? [this.#line(text.slice(0, -1), "\r")] : [this.#line(text, "")];
  }

  #line(text: string, end: string): Line {
    if (text.length > MAX_LINE_LENGTH) throw lineTooLong(this.#number);
    return { number: this.#number++, text, end };
  }
}

/** What is said of a line beyond {@link MAX_LINE_LENGTH}. */
export function lineTooLong(number: number): IngestError {
  return new IngestError(
    "line-too-long",
    `Line ${number} is longer than ${MAX_LINE_LENGTH.toLocaleString("en")} characters: this is no table of readings.`,
  );
}
