import { html } from "htm/preact";
import { FIGURE_ENTRIES } from "../how/entries.ts";
import type { Html } from "./layout.ts";

const NAME_OF = new Map(FIGURE_ENTRIES.map(({ id, name }) => [id, name]));

/** The way from a figure to how it is worked out: a small sign beside it. @throws {Error} where there is no such entry. */
export function figured(id: string): Html {
  const name = NAME_OF.get(id);
  if (name === undefined) throw new Error(`no figure is called ${id}`);
  return html` <a class="figured" href=${`/how#${id}`} aria-label=${`How it is figured: ${name}`} title="How it is figured">≈</a>`;
}
