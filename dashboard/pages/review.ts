import { html } from "htm/preact";
import { type ReviewPage, type ReviewRow, reviewAddress } from "../page-models/review.ts";
import { NEXT_STEP } from "../wording/next-steps.ts";
import {
  chanceText,
  newestSignalText,
  reviewHeadline,
  reviewRestsOn,
  standsOutText,
} from "../wording/review.ts";
import { STATE_LABEL } from "../wording/states.ts";
import { figured } from "./figured.ts";
import { type Html, renderPage } from "./layout.ts";
import { sign } from "./sign.ts";

/** Where a look is best spent this week, site by site. */
export function renderReview(page: ReviewPage): string {
  const address = reviewAddress(page.site);
  const join = page.site === null ? "?" : "&";
  const heading = reviewHeadline(page);
  return renderPage({
    title: heading,
    place: "today",
    figures: { json: `${address}${join}format=json`, csv: `${address}${join}format=csv` },
    body: html`
      <h1>${heading}</h1>
      <p class="rests-on">${reviewRestsOn(page)}${figured("review-list")}</p>
      ${siteLinks(page)}
      ${[...Map.groupBy(page.rows, ({ unit }) => unit.site ?? "")].map(([site, rows], i) => siteSection(site, rows, i))}
    `,
  });
}

function siteLinks({ sites, site }: ReviewPage): Html {
  if (sites.length < 2) return null;
  const link = (name: string | null, text: string): Html =>
    name === site
      ? html`<li><a href=${reviewAddress(name)} aria-current="true">${text}</a></li>`
      : html`<li><a href=${reviewAddress(name)}>${text}</a></li>`;
  return html`
    <nav aria-label="Sites">
      <ul class="tally">
        ${link(null, "all sites")}
        ${sites.map(({ site: name, units }) => link(name, `${name === "" ? "no site" : name} ${units}`))}
      </ul>
    </nav>
  `;
}

function siteSection(site: string, rows: readonly ReviewRow[], i: number): Html {
  const name = site === "" ? "No site" : site;
  return html`
    <section aria-labelledby=${`site-${i}`}>
      <h2 id=${`site-${i}`}>${name}</h2>
      <div class="scroll" tabindex="0" role="region" aria-label=${`Units worth a look: ${name}`}>
        <table class="looks">
          <thead>
            <tr><th scope="col">Unit</th><th scope="col">What stands out</th><th scope="col">As striking in a sound unit</th><th scope="col">Next step</th></tr>
          </thead>
          <tbody>${rows.map(reviewLine)}</tbody>
        </table>
      </div>
    </section>
  `;
}

function reviewLine(row: ReviewRow): Html {
  const { unit } = row;
  const lines = [standsOutText(row), newestSignalText(row)].filter((text) => text !== null);
  return html`
    <tr class=${unit.state}>
      <th scope="row">
        <a href=${`/units/${encodeURIComponent(unit.instrument)}#watch`}><b>${unit.instrument}</b></a>
        <small>${sign(unit.state)} ${STATE_LABEL[unit.state]}</small>
      </th>
      <td>${lines.map((text, i) => (i === 0 ? html`<span>${text}</span>` : html`<small>${text}</small>`))}</td>
      <td class="seldom">${chanceText(row)}</td>
      <td>${NEXT_STEP[unit.step]}</td>
    </tr>
  `;
}
