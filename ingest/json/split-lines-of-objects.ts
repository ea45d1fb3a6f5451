import { LineSplitter } from "../text/split-lines.ts";
import type { Element, ElementSplitter } from "./split-elements.ts";

/** Takes each line that is not blank as one element: newline-delimited JSON. */
export class ObjectLineSplitter implements ElementSplitter {
  readonly #lines = new LineSplitter();

  push(piece: string): Element[] {
    return toElements(this.#lines.push(piece));
  }

  end(): Element[] {
    return toElements(this.#lines.end());
  }
}

function toElements(lines: readonly { readonly number: number; readonly text: string }[]): Element[] {
  return lines
    .filter((line) => line.text.trim() !== "")
    .map((line) => ({ line: line.number, column: 1, raw: line.text, problem: null }));
}
