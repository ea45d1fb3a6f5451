import { html } from "htm/preact";
import type { FindPage } from "../page-models/find.ts";
import { foundHeading, foundWhat } from "../wording/find.ts";
import { renderPage } from "./layout.ts";

/** What the finder found, for those without scripts and for more than fits below it. */
export function renderFind(page: FindPage): string {
  const heading = foundHeading(page);
  return renderPage({
    title: heading,
    place: null,
    sought: page.sought,
    body: html`
      <h1>${heading}</h1>
      <ul class="found">
        ${page.found.map((found) => html`<li><a href=${found.href}>${found.name}</a> <small>${foundWhat(found)}</small></li>`)}
      </ul>
    `,
  });
}
