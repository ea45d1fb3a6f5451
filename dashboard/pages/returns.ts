import { html } from "htm/preact";
import { askerMay } from "../access/person.ts";
import type { ChartPictures } from "../charts/pictures.ts";
import type { ReturnRow, ReturnsPage } from "../page-models/returns.ts";
import { returnsAddress } from "../page-models/returns-query.ts";
import { date, distance } from "../wording/dates.ts";
import { counted } from "../wording/numbers.ts";
import { plain } from "../wording/phrase.ts";
import { weekName } from "../wording/returns.ts";
import {
  handMovesCost,
  handMoveText,
  movedText,
  noRoomText,
  returnsAloud,
  returnsCaption,
  returnsHeadline,
  returnsRestOn,
  riskPair,
} from "../wording/returns-page.ts";
import { STATE_LABEL } from "../wording/states.ts";
import { chartFigure } from "./chart-figure.ts";
import { figured } from "./figured.ts";
import { headlineOf } from "./headline.ts";
import { type Html, renderPage } from "./layout.ts";
import { pager } from "./pager.ts";
import { outAndIn } from "./returns-in.ts";
import { moveForm } from "./returns-move.ts";
import { rulesForm, whatIf } from "./returns-rules.ts";
import { sign } from "./sign.ts";

const STATES = ["out", "heading-out", "leaning", "steady", "unjudged"] as const;

/** As many as one looks over. */
const MOST_WITHOUT_ROOM = 20;

/** The return plan: week by week against capacity, the reason for each date, what else it could be. */
export function renderReturns(page: ReturnsPage, pictures: ChartPictures): string {
  const sentence = returnsHeadline(page);
  const here = returnsAddress(page.query);
  const figures = `${here}${here.includes("?") ? "&" : "?"}format=`;
  const binding = noRoomText(page);
  return renderPage({
    title: plain(sentence),
    place: "returns",
    figures: { json: `${figures}json`, csv: `${figures}csv` },
    charts: true,
    body: html`
      ${headlineOf(sentence)}
      <p class="rests-on">${returnsRestOn(page)} · <a href="/intervals">what interval each unit has earned</a></p>
      ${binding === null ? null : html`<p class="said">${binding}</p>`}
      ${rulesForm(page)}
      ${page.chosen === null ? null : moveForm(page.chosen, page)}
      ${page.byHand.length === 0 ? null : movedByHand(page)}
      ${page.plan.units.length === 0 ? null : weeksSection(page, pictures)}
      ${whatIf(page)}
      ${outAndIn(page)}
    `,
  });
}

function weeksSection(page: ReturnsPage, pictures: ChartPictures): Html {
  const { list, query } = page;
  return html`
    <section aria-labelledby="weeks-head">
      <h2 id="weeks-head">Week by week</h2>
      ${chartFigure({
        name: "returns",
        address: returnsAddress({ ...query, unit: null }, "/charts/returns"),
        pictures,
        aloud: returnsAloud(page.picture),
        caption: returnsCaption(page.picture),
        figured: "return-plan",
        table: null,
      })}
      ${stateKey(page)}
    </section>
    <section id="bookings" aria-labelledby="bookings-head">
      <h2 id="bookings-head">Who goes when, and why</h2>
      ${page.withoutRoom.length === 0 ? null : withoutRoom(page)}
      ${query.week === null ? null : html`<p class="caption">Only those that leave in ${weekName(query.week)}: ${counted(list.count, "unit")}.${askerMay("plan") ? html` <a href=${returnsAddress(query, "/returns/keep")}>Keep this week for them</a>` : null}</p>`}
      ${bookingsTable(null, list.rows, page)}
      ${pager({
        page: list.page,
        pages: list.pages,
        address: (to) => `${returnsAddress({ ...query, page: to })}#bookings`,
        words: { back: "Earlier", on: "Later" },
      })}
      ${
        list.hidden === 0
          ? null
          : html`<p class="more"><a href=${`${returnsAddress({ ...query, week: null, page: 1, all: true })}#bookings`}>All weeks, with ${counted(list.hidden, "more unit")}</a></p>`
      }
      ${
        page.withoutDate.length === 0
          ? null
          : html`<p class="caption">${counted(page.withoutDate.length, "unit has", "units have")} no date of the next service, and so no booking: ${page.withoutDate.slice(0, 12).join(", ")}${page.withoutDate.length > 12 ? " \u2026" : ""}.</p>`
      }
    </section>
  `;
}

function withoutRoom(page: ReturnsPage): Html {
  const more = page.withoutRoom.length - MOST_WITHOUT_ROOM;
  return html`
    ${bookingsTable("Without room", page.withoutRoom.slice(0, MOST_WITHOUT_ROOM), page)}
    ${more <= 0 ? null : html`<p class="caption">And ${counted(more, "more unit")} without room: this page’s figures name them all.</p>`}
  `;
}

/** What the colours of the blocks stand for. */
function stateKey({ picture }: ReturnsPage): Html {
  const present = STATES.filter((state) => picture.blocks.some((block) => block.state === state));
  return html`
    <ul class="block-key" aria-label="Key">
      ${present.map((state) => html`<li class=${state}><svg viewBox="0 0 10 10" aria-hidden="true" focusable="false"><rect width="10" height="10" rx="1.5" /></svg>${STATE_LABEL[state]}</li>`)}
    </ul>
  `;
}

function bookingsTable(caption: string | null, rows: readonly ReturnRow[], page: ReturnsPage): Html {
  return html`
    <table class="returns" role="table">
      <caption class=${caption === null ? "unseen" : ""}>${caption ?? "Bookings, the next first"}</caption>
      <thead role="rowgroup">
        <tr role="row">
          <th scope="col" role="columnheader">Week</th>
          <th scope="col" role="columnheader">Unit, site</th>
          <th scope="col" role="columnheader">Out when it leaves${figured("leaves-tolerance")}</th>
          <th scope="col" role="columnheader">Service due</th>
          <th scope="col" role="columnheader">Why then</th>
          <th scope="col" role="columnheader"><span class="unseen">Move</span></th>
        </tr>
      </thead>
      <tbody role="rowgroup">
        ${rows.map((row, i) => bookingRow(row, rows[i - 1]?.week ?? null, page))}
      </tbody>
    </table>
  `;
}

function bookingRow(row: ReturnRow, weekAbove: string | null, page: ReturnsPage): Html {
  const risk = riskPair(row);
  const isSame = row.week !== null && row.week === weekAbove;
  const move = `${returnsAddress({ ...page.query, unit: row.instrument })}#move`;
  return html`
    <tr role="row" class=${`${row.state}${isSame ? " same-week" : ""}`}>
      <td role="cell" class="week">
        ${row.week === null ? "none" : html`<b>${weekName(row.week)}</b><small>${date(row.leavesDay!)}</small>`}
      </td>
      <th scope="row" role="rowheader" class="who">
        <a href=${`/units/${encodeURIComponent(row.instrument)}`}>${row.instrument}</a>
        <small>${row.site ?? "no site given"}</small>
      </th>
      <td role="cell" class="chance">
        <strong>${risk.at}</strong>
        <small>${sign(row.state)} ${STATE_LABEL[row.state]}</small>
      </td>
      <td role="cell" class="due">${date(row.dueDay)}<small>${distance(row.dueDay, page.asOfDay)}</small></td>
      <td role="cell" class="why">${movedText(row)}${reasonAfterPlace(row)}</td>
      <td role="cell" class="move"><a href=${move} aria-label=${`Move ${row.instrument}`}>Move</a></td>
    </tr>
  `;
}

/** The sentence without its first words, which the column says already. */
function reasonAfterPlace({ why }: ReturnRow): Html {
  const colon = why.indexOf(": ");
  return colon < 0 ? null : html`<small>${why.slice(colon + 2)}</small>`;
}

function keptLinks({ instrument }: ReturnRow): Html {
  if (!askerMay("plan")) return "It is kept.";
  return html`It is kept. <a href=${`/returns/keep?${new URLSearchParams({ release: instrument })}`}>Release it</a>`;
}

function movedByHand(page: ReturnsPage): Html {
  return html`
    <section aria-labelledby="by-hand-head">
      <h2 id="by-hand-head">Moved by hand, and kept</h2>
      <ul class="findings">
        ${page.byHand.map((move) => {
          const without = page.query.fixed.filter(({ instrument }) => instrument !== move.row.instrument);
          return html`
            <li>
              <b>${move.row.instrument}</b> goes in ${handMoveText(move)}.
              ${" "}${move.row.isKept ? keptLinks(move.row) : html`<a href=${returnsAddress({ ...page.query, fixed: without })}>Leave it to the plan</a>`}
            </li>
          `;
        })}
      </ul>
      <p class="caption">
        ${handMovesCost(page)} ${page.query.fixed.length === 0 ? null : "Moves stand in this page\u2019s address alone until they are kept."}
        ${page.query.fixed.length === 0 || !askerMay("plan") ? null : html` <a href=${returnsAddress({ ...page.query, week: null }, "/returns/keep")}>Keep these weeks</a>`}
      </p>
    </section>
  `;
}
