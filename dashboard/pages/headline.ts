import { html } from "htm/preact";
import type { Phrase } from "../wording/phrase.ts";
import type { Html } from "./layout.ts";

const LONGEST_NAME_ON_ONE_LINE = 16;

/** The sentence a page begins with; its parts are links, underlined in the colour of what they speak of. */
export function headlineOf(phrases: readonly Phrase[]): Html {
  return html`
    <h1>
      ${phrases.map((phrase) =>
        phrase.href === undefined
          ? phrase.text
          : html`<a href=${phrase.href} class=${classesOf(phrase)}>${phrase.text}</a>`,
      )}
    </h1>
  `;
}

/** A name in one word is not parted at its hyphen; one that fills a narrow line may be. */
function classesOf({ text, state }: Phrase): string {
  const isName = !text.includes(" ") && text.length <= LONGEST_NAME_ON_ONE_LINE;
  return [state, isName ? "name-in-one" : null].filter((word) => word).join(" ");
}
