import { html } from "htm/preact";
import type { PackingPage } from "../page-models/packing.ts";
import { returnsAddress } from "../page-models/returns-query.ts";
import { FLUIDS_WITH_CARE } from "../wording/cautions.ts";
import { date } from "../wording/dates.ts";
import { counted } from "../wording/numbers.ts";
import { weekName } from "../wording/returns.ts";
import { PACKING_CHECKLIST, packingHeading } from "../wording/returns-page.ts";
import { type Html, renderPage } from "./layout.ts";

/** What leaves in one week, site by site: to be printed and put into the box. */
export function renderPacking(page: PackingPage): string {
  const heading = packingHeading(page);
  return renderPage({
    title: heading,
    place: "returns",
    body: html`
      <h1>${heading}</h1>
      <p class="rests-on">
        ${`Leaves on ${date(page.leavesDay)} \u00b7 to be back in ${weekName(page.backWeek)} \u00b7 `}
        <a href=${returnsAddress(page.query)}>the whole plan</a>
      </p>
      <nav class="pager" aria-label="Weeks">
        ${page.previous === null ? null : html`<a href=${weekAddress(page, page.previous)} rel="prev">${weekName(page.previous)}</a>`}
        ${page.next === null ? null : html`<a href=${weekAddress(page, page.next)} rel="next">${weekName(page.next)}</a>`}
      </nav>
      ${page.boxes.length === 0 ? html`<p class="nothing">Nothing leaves in this week.</p>` : page.boxes.map(box)}
    `,
  });
}

function weekAddress({ query }: PackingPage, week: string): string {
  const plan = returnsAddress(query, "/returns/packing");
  return `${plan}${plan.includes("?") ? "&" : "?"}week=${week}`;
}

function box({ site, workshop, units }: PackingPage["boxes"][number]): Html {
  return html`
    <section class="box">
      <h2>${`${site}, ${counted(units.length, "unit")}`}</h2>
      <p class="caption">${`To: ${workshop}`}</p>
      <table>
        <thead>
          <tr>
            <th scope="col"><span class="unseen">Packed</span></th>
            <th scope="col">Unit</th>
            <th scope="col">Model class</th>
            <th scope="col">Last geometry</th>
            <th scope="col">Service due</th>
            <th scope="col">Why now</th>
          </tr>
        </thead>
        <tbody>
          ${units.map(
            (unit) => html`
              <tr>
                <td class="tick" aria-hidden="true">☐</td>
                <th scope="row"><a href=${`/units/${encodeURIComponent(unit.instrument)}`}>${unit.instrument}</a></th>
                <td>${unit.modelClass ?? "not recorded"}</td>
                <td>${unit.geometry ?? "not recorded"}</td>
                <td>${date(unit.dueDay)}</td>
                <td>${unit.why}</td>
              </tr>
            `,
          )}
        </tbody>
      </table>
      <ul class="checklist">
        ${PACKING_CHECKLIST.map((item) => html`<li>☐ ${item}</li>`)}
      </ul>
      <p class="caption">${FLUIDS_WITH_CARE}</p>
    </section>
  `;
}
