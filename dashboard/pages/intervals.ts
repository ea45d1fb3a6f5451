import { html } from "htm/preact";
import type { UnitInterval } from "../../analysis/index.ts";
import {
  ADVICE_FILTERS,
  type IntervalsPage,
  type IntervalsQuery,
  intervalsAddress,
} from "../page-models/intervals.ts";
import { date } from "../wording/dates.ts";
import {
  ADVICE_LABEL,
  daysOrNone,
  groupIntervalText,
  INTERVALS_CAUTION,
  intervalsHeadline,
  METHODS_CAPTION,
} from "../wording/intervals.ts";
import { count, percent } from "../wording/numbers.ts";
import { figured } from "./figured.ts";
import { hiddenFields } from "./hidden-fields.ts";
import { type Html, renderPage } from "./layout.ts";
import { pager } from "./pager.ts";

/** What interval between services each unit and each group has earned, and how often to check. */
export function renderIntervals(page: IntervalsPage): string {
  const sentence = intervalsHeadline(page.counts);
  const here = intervalsAddress(page.query);
  const figures = `${here}${here.includes("?") ? "&" : "?"}format=`;
  return renderPage({
    title: sentence,
    place: "returns",
    inPlace: true,
    figures: { json: `${figures}json`, csv: `${figures}csv` },
    body: html`
      <p class="path"><a href="/returns">Returns</a></p>
      <h1>${sentence}</h1>
      <p class="rests-on">As of ${date(Date.parse(page.asOf) / 86_400_000)} · ${percent(page.target)} of units are to be within tolerance when they return · never longer than ${count(page.longestDays)} days</p>
      ${groups(page)}
      <section aria-labelledby="units-head">
        <h2 id="units-head">Unit by unit</h2>
        <p class="caption">${METHODS_CAPTION}${figured("earned-interval")}</p>
        ${chooser(page)} ${table(page.rows)} ${pager({
          page: Math.min(page.query.page, page.pages),
          pages: page.pages,
          address: (to) => intervalsAddress({ ...page.query, page: to }),
        })}
      </section>
      <p class="caution">${INTERVALS_CAUTION}</p>
    `,
  });
}

function groups({ groups: all, target }: IntervalsPage): Html {
  return html`
    <section aria-labelledby="groups-head">
      <h2 id="groups-head">What services found, group by group</h2>
      <ul class="plain">${all.map((group) => html`<li>${groupIntervalText(group, target)}</li>`)}</ul>
    </section>
  `;
}

function chooser({ counts, query, sites }: IntervalsPage): Html {
  const link = (advice: IntervalsQuery["advice"], label: string, n: number): Html => html`
    <li>
      <a href=${intervalsAddress({ ...query, advice, page: 1 })} aria-current=${query.advice === advice ? "true" : null}><b>${count(n)}</b> ${label}</a>
    </li>
  `;
  return html`
    <div class="choose">
      <ul class="tally">
        ${link(null, "in all", counts.all)}
        ${ADVICE_FILTERS.map((advice) => link(advice, ADVICE_LABEL[advice], counts[advice]))}
      </ul>
      <form action="/intervals" method="get" class="chooser">
        ${hiddenFields(query.advice === null ? [] : [["advice", query.advice]])}
        <label for="site">Site</label>
        <select id="site" name="site">
          <option value="">every site</option>
          ${sites.map((site) => html`<option value=${site} selected=${site === query.site}>${site}</option>`)}
        </select>
        <button type="submit">Show</button>
      </form>
    </div>
  `;
}

function table(rows: readonly UnitInterval[]): Html {
  if (rows.length === 0) return html`<p class="nothing">No such unit. <a href="/intervals">All units</a></p>`;
  return html`
    <div class="scroll" tabindex="0" role="region" aria-label="Intervals unit by unit">
      <table class="intervals">
        <caption class="unseen">Intervals between services, in days</caption>
        <thead>
          <tr>
            <th scope="col" rowspan="2">Unit</th>
            <th scope="col" rowspan="2">Advice</th>
            <th scope="colgroup" colspan="5" class="number">Interval between services, days</th>
            <th scope="colgroup" colspan="2" class="number">Check every, days</th>
          </tr>
          <tr>
            ${["now", "advised", "by its drift", "by staircase", "by in-use time", "by use", "by its drift"].map((head) => html`<th scope="col" class="number">${head}</th>`)}
          </tr>
        </thead>
        <tbody>${rows.map(line)}</tbody>
      </table>
    </div>
  `;
}

function line(unit: UnitInterval): Html {
  const days = [
    unit.presentDays,
    unit.advice?.days ?? null,
    unit.drift?.days ?? null,
    unit.staircaseDays,
    unit.inUseDays,
    unit.checkEveryDays.byUse,
    unit.checkEveryDays.byDrift,
  ];
  return html`
    <tr>
      <th scope="row"><a href=${`/units/${encodeURIComponent(unit.instrument)}`}>${unit.instrument}</a><small>${unit.site ?? "no site"}</small></th>
      <td>${unit.advice === null ? "not known" : ADVICE_LABEL[unit.advice.advice]}</td>
      ${days.map((n) => html`<td class="number">${daysOrNone(n)}</td>`)}
    </tr>
  `;
}
