import { html } from "htm/preact";
import { askerMay } from "../access/person.ts";
import type { ReturnsPage } from "../page-models/returns.ts";
import { returnsAddress } from "../page-models/returns-query.ts";
import { date } from "../wording/dates.ts";
import { chanceText } from "../wording/fleet.ts";
import { decimal } from "../wording/numbers.ts";
import { againstFinding, returnedSummary } from "../wording/returns-page.ts";
import type { Html } from "./layout.ts";

/** As many as one looks over; the figures hold them all. */
const SHOWN = 15;

/** The plan for calendars and boxes; what came back, forecast against finding. */
export function outAndIn({ query, returned }: ReturnsPage): Html {
  const plain = { ...query, unit: null, all: false, week: null, page: 1, against: [] };
  return html`
    <section aria-labelledby="out-head">
      <h2 id="out-head">Out and in</h2>
      <p>
        <a href=${returnsAddress(plain, "/returns/packing")}>Packing lists</a>, week by week and site by site
        ${" \u00b7 "}<a href=${returnsAddress(plain, "/returns/calendar.ics")}>Calendar</a>, to be subscribed to
        ${" \u00b7 "}${askerMay("plan") ? html`<a href="/returns/record">Record a return</a>, or take in` : "returns are recorded by taking in"} services and their as-found and as-left checks
      </p>
      ${
        returned.length === 0
          ? html`<p class="nothing">No unit has come back within a year.</p>`
          : html`
              <p class="caption">${returnedSummary(returned)}</p>
              <div class="scroll" tabindex="0" role="region" aria-label="Units that came back">
                <table>
                  <caption class="unseen">The latest returns, forecast against finding</caption>
                  <thead>
                    <tr>
                      <th scope="col">Serviced</th>
                      <th scope="col">Unit, site</th>
                      <th scope="col" class="number">Forecast the day before</th>
                      <th scope="col" class="number">As found</th>
                      <th scope="col" class="number">As left</th>
                      <th scope="col">Against the forecast</th>
                    </tr>
                  </thead>
                  <tbody>
                    ${returned.slice(0, SHOWN).map(
                      (unit) => html`
                        <tr>
                          <td>${date(unit.servicedDay)}</td>
                          <th scope="row"><a href=${`/units/${encodeURIComponent(unit.instrument)}`}>${unit.instrument}</a>${unit.site === null ? "" : `, ${unit.site}`}</th>
                          <td class="number">${chanceText(unit.forecast)}</td>
                          <td class="number">${`${decimal(unit.asFound, 2)} of tolerance${unit.wasSound ? "" : ", out"}`}</td>
                          <td class="number">${unit.asLeft === null ? "\u2013" : decimal(unit.asLeft, 2)}</td>
                          <td>${againstFinding(unit)}</td>
                        </tr>
                      `,
                    )}
                  </tbody>
                </table>
              </div>
            `
      }
    </section>
  `;
}
