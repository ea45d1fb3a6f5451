import { html } from "htm/preact";
import type { Phrase } from "../wording/phrase.ts";
import type { Html } from "./layout.ts";

/** A sentence with its links, within running text. */
export function linked(phrases: readonly Phrase[]): Html {
  return phrases.map(({ text, href }) => (href === undefined ? text : html`<a href=${href}>${text}</a>`));
}
