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

const NO_OBJECT = { end: 0, problem: "it is no object" };

/** A check with all its readings has some thousand characters. */
const MAX_ELEMENT_LENGTH = 1_048_576;
/** A check object holds readings, which hold values: three levels. */
const MAX_DEPTH = 32;

/**
 * Cuts the objects of a JSON array (or objects one after the other) out of a stream of text.
 *
 * @remarks
 * Watches only strings and brackets; what an object says is parsed later. Text that breaks the rules of JSON
 * ends the object it stands in, and reading goes on where the next object seems to begin: at a `{` that opens
 * a line or follows `},`. Holds one object at most.
 */
export class ArraySplitter implements ElementSplitter {
  /** From the beginning of the unfinished object or stretch on. */
  #text = "";
  #line = 1;
  #column = 1;

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
      this.#skip(betweenElements(this.#text, isLast));
      if (this.#text === "") return elements;
      const object = this.#text.startsWith("{") ? scanObject(this.#text) : NO_OBJECT;
      if (object === "unfinished" && !isLast) {
        if (this.#text.length <= MAX_ELEMENT_LENGTH) return elements;
      } else if (object !== "unfinished" && object.problem === null) {
        elements.push({ ...this.#place(), raw: this.#text.slice(0, object.end), problem: null });
        this.#skip(object.end);
        continue;
      }

      // The last character may be the first half of what opens the next object: leave it until more is there.
      const next = nextObjectStart(this.#text);
      if (next === null && !isLast && this.#text.length <= MAX_ELEMENT_LENGTH) return elements;
      const stretch = next === null ? this.#text.length : next;
      const raw = this.#text.slice(0, stretch).trimEnd();
      const problem = object === "unfinished" ? "its brackets do not close" : object.problem;
      elements.push({ ...this.#place(), raw, problem });
      this.#skip(stretch);
    }
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

/** How much of the text is space, commas and the brackets of the array itself. */
function betweenElements(text: string, isLast: boolean): number {
  let i = 0;
  while (i < text.length && " \t\r\n,[]".includes(text[i]!)) i++;
  // Half of a pair of line-end characters is left for the next piece, so that the pair counts once.
  return !isLast && i === text.length && text.endsWith("\r") ? i - 1 : i;
}

/**
 * Finds the end of the object with which a text begins.
 *
 * @returns "unfinished" where the text ends first; else the index after the object, or the first breach of the rules.
 */
function scanObject(text: string): { end: number; problem: string | null } | "unfinished" {
  const open: string[] = [];
  let before = ":";
  for (let i = 0; i < text.length; i++) {
    const char = text[i]!;
    switch (char) {
      case '"': {
        const end = scanString(text, i);
        if (end === "unfinished") return end;
        if (end === "broken") return { end: i, problem: "a text in it is not closed on its line" };
        i = end;
        break;
      }
      case "{":
      case "[":
        if (before !== ":" && open.at(-1) !== "[")
          return { end: i, problem: "a bracket before it is not closed" };
        open.push(char);
        if (open.length > MAX_DEPTH)
          return { end: i, problem: `it is nested more than ${MAX_DEPTH} levels deep` };
        break;
      case "}":
      case "]":
        if (open.pop() !== (char === "}" ? "{" : "["))
          return { end: i, problem: "its brackets do not match" };
        if (open.length === 0) return { end: i + 1, problem: null };
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
