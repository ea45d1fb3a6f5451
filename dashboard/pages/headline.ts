import { html } from "htm/preact";
import type { Phrase } from "../wording/phrase.ts";
import type { Html } from "./layout.ts";

/** The sentence a page begins with; its parts are links, underlined in the colour of what they speak of. */
export function headlineOf(phrases: readonly Phrase[]): Html {
  return html`
    <h1>
      ${phrases.map((phrase) =>
        phrase.href === undefined
          ? phrase.text
          : html`<a href=${phrase.href} class=${phrase.state ?? ""}>${phrase.text}</a>`,
      )}
    </h1>
  `;
}
