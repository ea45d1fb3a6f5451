import { html } from "htm/preact";
import { fleetAddress, fleetFields, PATTERN_FILTERS } from "../page-models/fleet-query.ts";
import type { UnitsPage } from "../page-models/units.ts";
import { date } from "../wording/dates.ts";
import { LANES_CAPTION, patternChoice, unitsHeading, unitsOrder } from "../wording/fleet.ts";
import { count } from "../wording/numbers.ts";
import { fleetTable } from "./fleet-table.ts";
import { hiddenFields } from "./hidden-fields.ts";
import { type Html, renderPage } from "./layout.ts";
import { type Pager, pager } from "./pager.ts";
import { stateTally } from "./state-tally.ts";

/** Every unit in one table; the address says which and in what order. */
export function renderUnits(page: UnitsPage): string {
  const heading = unitsHeading(page);
  const here = fleetAddress(page.query);
  const figures = `${here}${here.includes("?") ? "&" : "?"}format=`;
  return renderPage({
    title: heading,
    place: "units",
    figures: { json: `${figures}json`, csv: `${figures}csv` },
    inPlace: true,
    body: html`
      <h1 data-told>${heading}</h1>
      <p class="rests-on">As of ${date(page.asOfDay)} · <span data-told>${unitsOrder(page)}</span> ${LANES_CAPTION}</p>
      <div class="choose">
        ${stateTally(page.states, page.overdue, page.query)} ${chooser(page)}
      </div>
      ${
        page.rows.length === 0
          ? html`<p class="nothing">Nothing to show here. <a href="/units">See all units</a>.</p>`
          : fleetTable({ rows: page.rows, asOfDay: page.asOfDay, caption: heading, query: page.query })
      }
      ${pager(parts(page))}
    `,
  });
}

function chooser({ sites, query }: UnitsPage): Html {
  return html`
    <form action="/units" method="get" class="chooser">
      ${hiddenFields(fleetFields({ ...query, site: null, pattern: null, page: 1 }))}
      ${
        sites.length < 2
          ? null
          : html`
              <label for="site">Site</label>
              <select id="site" name="site">
                <option value="">every site</option>
                ${sites.map((site) => html`<option value=${site} selected=${site === query.site}>${site}</option>`)}
              </select>
            `
      }
      <label for="pattern">What it does</label>
      <select id="pattern" name="pattern">
        <option value="">anything</option>
        ${PATTERN_FILTERS.map(
          (pattern) =>
            html`<option value=${pattern} selected=${pattern === query.pattern}>${patternChoice(pattern)}</option>`,
        )}
      </select>
      <button type="submit">Show</button>
    </form>
  `;
}

function parts({ query, rows, selected, pages }: UnitsPage): Pager {
  const first = selected.indexOf(rows[0]!) + 1;
  return {
    page: query.page,
    pages,
    address: (page) => fleetAddress({ ...query, page }),
    shown: `${count(first)} to ${count(first + rows.length - 1)} of ${count(selected.length)}`,
  };
}
