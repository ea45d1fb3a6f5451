import { html } from "htm/preact";
import type { ChartPictures } from "../charts/pictures.ts";
import { fleetAddress } from "../page-models/fleet-query.ts";
import { lotAddress } from "../page-models/fluid-lots.ts";
import type { RecordSummary } from "../page-models/record.ts";
import { reviewAddress } from "../page-models/review.ts";
import type { TodayPage } from "../page-models/today.ts";
import {
  FLEET_PICTURE_CAPTION,
  fleetPictureAloud,
  LANES_CAPTION,
  lotText,
  pictureNote,
  restsOn,
} from "../wording/fleet.ts";
import { headline } from "../wording/headline.ts";
import { counted } from "../wording/numbers.ts";
import { plain } from "../wording/phrase.ts";
import { recordQuote } from "../wording/record.ts";
import { chartFigure } from "./chart-figure.ts";
import { fleetTable } from "./fleet-table.ts";
import { headlineOf } from "./headline.ts";
import { type Html, renderPage } from "./layout.ts";
import { siteTable } from "./site-table.ts";
import { stateTally } from "./state-tally.ts";

/** The front page: what is true today, every unit in one picture, the likeliest first, sites, shared causes. */
export function renderToday(
  page: TodayPage,
  pictures: ChartPictures,
  record: RecordSummary | null = null,
  course: Html = null,
): string {
  const sentence = headline(page);
  return renderPage({
    title: plain(sentence),
    place: "today",
    figures: { json: "/?format=json", csv: "/?format=csv" },
    charts: true,
    body: html`
      ${headlineOf(sentence)}
      <p class="rests-on">${restsOn(page)}${page.units === 0 ? null : recordPart(record)}</p>
      ${page.units === 0 ? firstSteps() : fleetSections(page, pictures)}
      ${page.units === 0 ? null : course}
    `,
  });
}

/** How far the forecasts are to be trusted, in the record's own words. */
function recordPart(record: RecordSummary | null): Html {
  const quote = recordQuote(record);
  return quote === null
    ? html` · <a href="/record">the forecasts’ record</a>`
    : html` · ${quote} (<a href="/record">the record</a>)`;
}

function firstSteps(): Html {
  return html`
    <section>
      <h2>To begin</h2>
      <p>
        Read the registers and checks in with <code>npx springtide ingest FOLDER</code>. Instruments, services,
        fluids and readings may be CSV or JSON; what a file holds is known from its columns.
      </p>
    </section>
  `;
}

function fleetSections(page: TodayPage, pictures: ChartPictures): Html {
  const more = page.units - page.likeliest.length;
  return html`
    <section aria-labelledby="picture-head">
      <h2 id="picture-head">Every unit at its next service</h2>
      ${chartFigure({
        name: "fleet",
        address: "/charts/fleet",
        pictures,
        aloud: fleetPictureAloud(page.picture, page.states),
        caption: FLEET_PICTURE_CAPTION,
        figured: "error-over-tolerance",
        note: pictureNote(page.picture),
        table: null,
      })}
      ${stateTally(page.states, 0, null)}
    </section>
    <section aria-labelledby="likeliest-head">
      <h2 id="likeliest-head">Likeliest first</h2>
      <p class="caption">${LANES_CAPTION}</p>
      ${fleetTable({
        rows: page.likeliest,
        asOfDay: page.asOfDay,
        caption: "The units that are likeliest to leave tolerance before their service",
        query: null,
      })}
      <p class="more">
        <a href=${fleetAddress({ page: 1 })}>${more > 0 ? `All ${counted(page.units, "unit")}` : "All units"}, to filter and sort</a>
        <a href=${reviewAddress(null)}>Worth a look this week</a>
      </p>
    </section>
    <div class="two sites-and-shared">
    <section aria-labelledby="sites-head">
      <h2 id="sites-head">Site by site</h2>
      ${siteTable(page.sites)}
    </section>
    ${sharedCauses(page)}
    </div>
  `;
}

/** A doubtful lot is one finding, not one for each unit that was checked with it. */
function sharedCauses(page: TodayPage): Html {
  return html`
    <section id="shared" aria-labelledby="shared-head">
      <h2 id="shared-head">What units share</h2>
      ${
        page.lots.length === 0
          ? html`<p>${page.soundLots > 0 ? `All ${counted(page.soundLots, "fluid lot")} that can be judged agree with their certificates.` : "No fluid lot can be judged yet."}</p>`
          : html`
              <ul class="findings">
                ${page.lots.map((lot) => html`<li><a href=${lotAddress(lot.fluidLot)}>${lot.fluidLot}</a> ${lotText(lot)}. It is ${lot.verdict}; its share is taken away before a unit is judged.</li>`)}
              </ul>
            `
      }
    </section>
  `;
}
