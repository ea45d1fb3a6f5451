import { html } from "htm/preact";
import type { TrailEntry } from "../../ingest/index.ts";
import { minuteOf, type TrailPage, trailAddress } from "../page-models/trail.ts";
import { date } from "../wording/dates.ts";
import { actionText, TRAIL_HOLDS, trailHeadline, wayText } from "../wording/trail.ts";
import { textField } from "./field.ts";
import { type Html, renderPage } from "./layout.ts";
import { pager } from "./pager.ts";

/** Every change of the store, the newest first. */
export function renderTrail(page: TrailPage): string {
  const { entries, total, asked, pages } = page;
  const headline = trailHeadline(total, entries[0]);
  return renderPage({
    title: headline,
    place: null,
    figures: { json: trailAddress(asked, "json"), csv: trailAddress(asked, "csv") },
    body: html`
      <h1>${headline}</h1>
      <p class="rests-on">${TRAIL_HOLDS} <code>springtide trail verify</code> follows the whole chain.</p>
      <form action="/trail" method="get" class="trail-filter">
        ${textField("who", "Who", { value: asked.who, autocomplete: "off", spellcheck: false })}
        ${textField("about", "About", { value: asked.about, autocomplete: "off", spellcheck: false })}
        <button type="submit">Show</button>
      </form>
      ${entries.length === 0 ? null : table(entries)}
      ${pager({ page: asked.page, pages, address: (to) => trailAddress({ ...asked, page: to }), words: { back: "Later", on: "Earlier" } })}
    `,
  });
}

function table(entries: readonly TrailEntry[]): Html {
  return html`
    <div class="scroll" tabindex="0" role="region" aria-label="Entries">
      <table class="trail">
        <caption class="unseen">Changes, the newest first; times are UTC</caption>
        <thead>
          <tr><th scope="col">Entry</th><th scope="col">When, UTC</th><th scope="col">Who</th><th scope="col">What</th><th scope="col">Before and after</th></tr>
        </thead>
        <tbody>${entries.map(line)}</tbody>
      </table>
    </div>
  `;
}

function line(entry: TrailEntry): Html {
  const { number, atMs, who, way, action, about, site, before, after } = entry;
  const told = [
    ["Before", before],
    ["After", after],
  ] as const;
  return html`
    <tr>
      <th scope="row" class="number">${number}</th>
      <td class="when"><time datetime=${new Date(atMs).toISOString()}>${date(atMs / 86_400_000)} ${minuteOf(atMs).slice(-5)}</time></td>
      <td>${who}<small>${wayText(way)}</small></td>
      <td>${actionText(action)}: ${about}${site === null ? null : html`<small>${site}</small>`}</td>
      <td class="told">
        <details>
          <summary>Show<span class="unseen"> entry ${number}</span></summary>
          ${told.map(([name, json]) => (json === null || json === "null" ? null : html`<p>${name}</p><pre>${JSON.stringify(JSON.parse(json), null, 2)}</pre>`))}
          <p>Hash</p><code>${entry.hash}</code>
        </details>
      </td>
    </tr>
  `;
}
