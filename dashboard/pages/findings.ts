import { html } from "htm/preact";
import type { FindingView } from "../assessment/service-desk.ts";
import { type FindingsPage, findingAddress } from "../page-models/findings.ts";
import { date } from "../wording/dates.ts";
import {
  FINDINGS_CAUTION,
  findingsHeadline,
  sinceText,
  standsText,
  WINDOW_CAPTION,
} from "../wording/findings.ts";
import { counted, decimal } from "../wording/numbers.ts";
import { figured } from "./figured.ts";
import { type Html, renderPage } from "./layout.ts";
import { pager } from "./pager.ts";
import { windowPicture } from "./window-picture.ts";

/** Units found out of tolerance, since when, and what was decided. */
export function renderFindings(page: FindingsPage): string {
  const sentence = findingsHeadline(page.findings, page.fromDay);
  return renderPage({
    title: sentence,
    place: "findings",
    figures: { json: "/findings?format=json", csv: "/findings?format=csv" },
    body: html`
      <h1>${sentence}</h1>
      <p class="rests-on">As of ${date(Date.parse(page.asOf) / 86_400_000)}.${page.findings.length > 0 ? ` ${WINDOW_CAPTION}` : ""}${figured("since-when")}</p>
      ${page.findings.length > 0 ? table(page) : null}
      <p class="caution">${FINDINGS_CAUTION}</p>
    `,
  });
}

function table({ listed, fromDay, toDay, page, pages }: FindingsPage): Html {
  return html`
    <table class="fleet found-out" role="table">
      <caption class="unseen">Units found out of tolerance, the latest first</caption>
      <thead role="rowgroup">
        <tr role="row">
          <th scope="col" role="columnheader">Unit, site</th>
          <th scope="col" role="columnheader" class="lanes-head"><span>${date(fromDay)}</span><span>when it left tolerance</span><span>${date(toDay)}</span></th>
          <th scope="col" role="columnheader">Likely out since</th>
          <th scope="col" role="columnheader">Found</th>
          <th scope="col" role="columnheader">Stands</th>
        </tr>
      </thead>
      <tbody role="rowgroup">
        ${listed.map((finding) => line(finding, fromDay, toDay))}
      </tbody>
    </table>
    ${pager({ page, pages, address: (to) => `/findings?page=${to}`, words: { back: "Later", on: "Earlier" } })}
  `;
}

function line(finding: FindingView, fromDay: number, toDay: number): Html {
  const { found, since, doubted } = finding;
  const results =
    doubted.length === 0
      ? null
      : html`<small>${counted(doubted.length, "result")} measured in that time</small>`;
  return html`
    <tr role="row" class=${finding.isClosed ? "closed" : "open"}>
      <th scope="row" role="rowheader" class="who">
        <a href=${findingAddress(finding)}>${found.instrument}</a>
        <small>${found.site ?? "no site"}</small>
      </th>
      <td role="cell" class="picture">${windowPicture(found, since, fromDay, toDay)}</td>
      <td role="cell" class="since">${sinceText(since).day}<small>${sinceText(since).range}</small></td>
      <td role="cell" class="where">${date(found.foundDay)}<small>${found.servicedDay === null ? "by its checks" : "by a service"}, at ${decimal(found.worst, 1)} × its tolerance</small></td>
      <td role="cell" class="step">${standsText(finding)}${results}</td>
    </tr>
  `;
}
