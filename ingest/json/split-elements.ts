import { IngestError } from "../errors.ts";

/** One element of a JSON file: the text of an object, or text that makes none. */
export interface Element {
  /** Line on which it begins, as an editor counts. */
  readonly line: number;
  /** Where on that line, from 1. */
  readonly column: number;
  readonly raw: string;
  /** Why its text cannot be an object; null where it looks like one. */
  readonly problem: string | null;
}

/** Cuts the text of a file into elements, piece by piece. */
export interface ElementSplitter {
  push(piece: string): Element[];
  end(): Element[];
}

const NO_OBJECT = "it is no object";

/** A check with all its readings has some thousand characters. */
const MAX_ELEMENT_LENGTH = 1_048_576;
/** Spaces between an element and the comma after it. */
const MAX_GAP = 1000;
/** A check object holds readings, which hold values: three levels. */
export const MAX_DEPTH = 32;

/**
 * Cuts the objects of a JSON array (or objects one after the other) out of a stream of text.
 *
 * @remarks
 * Watches only strings and brackets; what an object says is parsed later. A text, number or list where an object
 * is due is an element by itself. What breaks the rules of JSON ends the object it stands in, and reading goes on
 * where the next object seems to begin: at a `{` that opens a line or follows `},`. Holds one object at most.
 *
 * @throws {IngestError} "element-too-long" where no object ends for longer than {@link MAX_ELEMENT_LENGTH}.
 */
export class ArraySplitter implements ElementSplitter {
  /** From the beginning of the unfinished object or stretch on. */
  #text = "";
  #line = 1;
  #column = 1;
  #inArray = false;

  push(piece: string): Element[] {
    this.#text += piece;
    return this.#take(false);
  }

  end(): Element[] {
    return this.#take(true);
  }

  #take(isLast: boolean): Element[] {
    const elements: Element[] = [];
    for (;;) {
      this.#toNextElement(isLast);
      if (this.#text === "") return elements;
      const scanned = scanElement(this.#text, isLast);
      if (scanned === "unfinished" && !isLast) {
        if (this.#text.length <= MAX_ELEMENT_LENGTH) return elements;
      } else if (scanned !== "unfinished" && scanned.isWhole) {
        const problem = this.#text.startsWith("{") ? null : NO_OBJECT;
        elements.push({ ...this.#place(), raw: this.#text.slice(0, scanned.end), problem });
        this.#skip(scanned.end);
        continue;
      }

      // The last character may be the first half of what opens the next object: leave it until more is there.
      const next = nextObjectStart(this.#text);
      if (next === null && !isLast) {
        if (this.#text.length <= MAX_ELEMENT_LENGTH) return elements;
        throw new IngestError(
          "element-too-long",
          `From line ${this.#line} on no object ends within ${MAX_ELEMENT_LENGTH.toLocaleString("en")} characters: this is no table of readings.`,
        );
      }
      const stretch = next === null ? this.#text.length : next;
      const raw = this.#text.slice(0, stretch).trimEnd();
      const problem = scanned === "unfinished" ? "its brackets do not close" : scanned.problem;
      elements.push({ ...this.#place(), raw, problem });
      this.#skip(stretch);
    }
  }

  /** Past space, commas and the brackets of the array itself. */
  #toNextElement(isLast: boolean): void {
    const text = this.#text;
    let i = 0;
    for (; i < text.length; i++) {
      const char = text[i]!;
      if (char === "[") {
        if (this.#inArray) break;
        this.#inArray = true;
      } else if (char === "]") this.#inArray = false;
      else if (!" \t\r\n,".includes(char)) break;
    }
    // Half of a pair of line-end characters is left for the next piece, so that the pair counts once.
    this.#skip(!isLast && i === text.length && text.endsWith("\r") ? i - 1 : i);
  }

  #place() {
    return { line: this.#line, column: this.#column };
  }

  #skip(length: number): void {
    const ends = lineEnds(this.#text, length);
    this.#line += ends.count;
    this.#column = ends.count === 0 ? this.#column + length : length - ends.lastEnd;
    this.#text = this.#text.slice(length);
  }
}

/** Where an element ends, or the first breach of the rules of JSON in it. */
type Scanned =
  | { readonly isWhole: true; readonly end: number }
  | { readonly isWhole: false; readonly problem: string };

/** Finds the end of the element with which a text begins; "unfinished" where the text ends first. */
function scanElement(text: string, isLast: boolean): Scanned | "unfinished" {
  if (text.startsWith("{")) return scanBrackets(text);
  const found = text.startsWith("[") ? scanBrackets(text) : scanScalar(text);
  if (found === "unfinished") return isLast ? { isWhole: false, problem: NO_OBJECT } : found;
  if (!found.isWhole) return { isWhole: false, problem: NO_OBJECT };
  // Words that are no JSON at all are one stretch, not one element each.
  const after = text.slice(found.end, found.end + MAX_GAP).trimStart();
  if (after === "") return isLast || text.length > found.end + MAX_GAP ? found : "unfinished";
  return ",]".includes(after[0]!) ? found : { isWhole: false, problem: NO_OBJECT };
}

/** A text, or what looks like a number, `true`, `false` or `null`. */
function scanScalar(text: string): Scanned | "unfinished" {
  if (!text.startsWith('"')) {
    const end = text.search(/[\s,[\]{}"]/);
    if (end < 0) return "unfinished";
    return end > 0 ? { isWhole: true, end } : { isWhole: false, problem: NO_OBJECT };
  }
  const end = scanString(text, 0);
  if (end === "unfinished") return end;
  return end === "broken" ? { isWhole: false, problem: NO_OBJECT } : { isWhole: true, end: end + 1 };
}

/** Finds the bracket that closes the one with which a text begins. */
function scanBrackets(text: string): Scanned | "unfinished" {
  const open: string[] = [];
  let before = ":";
  for (let i = 0; i < text.length; i++) {
    const char = text[i]!;
    switch (char) {
      case '"': {
        const end = scanString(text, i);
        if (end === "unfinished") return end;
        if (end === "broken") return { isWhole: false, problem: "a text in it is not closed on its line" };
        i = end;
        break;
      }
      case "{":
      case "[":
        if (before !== ":" && open.at(-1) !== "[")
          return { isWhole: false, problem: "a bracket before it is not closed" };
        open.push(char);
        if (open.length > MAX_DEPTH)
          return { isWhole: false, problem: `it is nested more than ${MAX_DEPTH} levels deep` };
        break;
      case "}":
      case "]":
        if (open.pop() !== (char === "}" ? "{" : "["))
          return { isWhole: false, problem: "its brackets do not match" };
        if (open.length === 0) return { isWhole: true, end: i + 1 };
        break;
      case " ":
      case "\t":
      case "\r":
      case "\n":
        continue;
    }
    before = char;
  }
  return "unfinished";
}

/** Index of the quote that closes the string opened at `start`. */
function scanString(text: string, start: number): number | "unfinished" | "broken" {
  for (let i = start + 1; i < text.length; i++) {
    const char = text[i];
    if (char === '"') return i;
    if (char === "\\") i++;
    else if (char === "\n" || char === "\r") return "broken";
  }
  return "unfinished";
}

/** Where, after its beginning, a text seems to open another object; null where it does not. */
function nextObjectStart(text: string): number | null {
  // What stood last before a run of spaces: an object may follow a line end, or a closed object and a comma.
  let opensLine = false;
  let closed = false;
  let comma = false;
  for (let i = 1; i < text.length; i++) {
    const char = text[i];
    if (char === "\n" || char === "\r") opensLine = true;
    else if (char === "{" && (opensLine || comma)) return i;
    else if (char === "}") [opensLine, closed, comma] = [false, true, false];
    else if (char === "," && closed) [closed, comma] = [false, true];
    else if (char !== " " && char !== "\t") [opensLine, closed, comma] = [false, false, false];
  }
  return null;
}

/** Line ends among the first characters of a text, and where the last one is; carriage return and line feed are one. */
function lineEnds(text: string, length: number): { count: number; lastEnd: number } {
  let count = 0;
  let lastEnd = -1;
  for (let i = 0; i < length; i++) {
    if (text[i] !== "\n" && (text[i] !== "\r" || text[i + 1] === "\n")) continue;
    count++;
    lastEnd = i;
  }
  return { count, lastEnd };
}
