import { html } from "htm/preact";
import type { ChecksPage } from "../page-models/checks.ts";
import { checksTable } from "../tables/checks.ts";
import { CHECKS_CAPTION, checksHeading } from "../wording/checks.ts";
import { figured } from "./figured.ts";
import { type Html, renderPage } from "./layout.ts";

/** Every check of one unit down to file and line. */
export function renderChecks(page: ChecksPage): string {
  const unit = `/units/${encodeURIComponent(page.instrument)}`;
  const heading = checksHeading(page);
  return renderPage({
    title: heading,
    place: "units",
    figures: { json: `${unit}/checks?format=json`, csv: `${unit}/checks?format=csv` },
    body: html`
      <p class="path"><a href=${unit}>${page.instrument}</a></p>
      <h1>${heading}</h1>
      <p class="caption">${CHECKS_CAPTION}${figured("error-full-scale")}${figured("full-scale-range")}</p>
      ${
        page.checks === 0
          ? null
          : html`<div class="scroll" tabindex="0" role="region" aria-label=${heading}>${checksTable(page.instrument, page.shown, heading)}</div>`
      }
      ${page.pages > 1 ? pager(page, unit) : null}
    `,
  });
}

function pager({ page, pages }: ChecksPage, unit: string): Html {
  const link = (to: number, text: string, rel: string): Html =>
    html`<a href=${`${unit}/checks?page=${to}`} rel=${rel}>${text}</a>`;
  return html`
    <nav class="pager" aria-label="Pages of the table">
      ${page > 1 ? link(page - 1, "Newer", "prev") : null}
      <span>Page ${page} of ${pages}</span>
      ${page < pages ? link(page + 1, "Older", "next") : null}
    </nav>
  `;
}
