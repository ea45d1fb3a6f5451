import type { UnitState } from "../../analysis/index.ts";

/** A piece of a sentence: plain, or a link to what it speaks of, underlined in the colour of a state. */
export interface Phrase {
  readonly text: string;
  readonly href?: string;
  readonly state?: UnitState;
}

/** The sentence without its links, for titles and programs. */
export function plain(phrases: readonly Phrase[]): string {
  return phrases.map((phrase) => phrase.text).join("");
}
