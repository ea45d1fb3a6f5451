import { html } from "htm/preact";
import type { ClassRow, RecordPage, RecordSummary } from "../page-models/record.ts";
import { date } from "../wording/dates.ts";
import { count, decimal, share } from "../wording/numbers.ts";
import {
  CLASSES_CAPTION,
  classAloud,
  classText,
  coverageText,
  EARLIER_STATE,
  expectedText,
  HOW_JUDGED,
  leadText,
  progressText,
  rangeText,
  recordHeadline,
  recordRestsOn,
  saidText,
  skillTexts,
  verdictOfClass,
  WORKING,
} from "../wording/record.ts";
import { figured } from "./figured.ts";
import { type Html, renderPage } from "./layout.ts";
import { sign, signAt } from "./sign.ts";

/** The forecasts' own record: what was said, and what came of it. */
export function renderRecord(page: RecordPage): string {
  const sentence = recordHeadline(page);
  const { record } = page;
  return renderPage({
    title: sentence,
    place: "record",
    figures: { json: "/record?format=json", csv: "/record?format=csv" },
    progress: page.progress !== null,
    body: html`
      <h1>${sentence}</h1>
      ${record === null ? null : html`<p class="rests-on">${recordRestsOn(record)}</p>`}
      ${progressPart(page)}
      ${record === null || record.forecasts === 0 ? null : recordSections(record)}
      <p class="caution">${HOW_JUDGED}</p>
    `,
  });
}

function progressPart({ progress, record }: RecordPage): Html {
  if (progress === null) return null;
  const { done, of } = progress;
  return html`
    <div class="under-way" data-progress="/record?format=json" data-shown=${record === null ? "nothing" : "earlier"}>
      <p>${record === null ? WORKING : EARLIER_STATE}</p>
      <p>
        <label for="replayed" class="told">${progressText(progress)}</label>
        <progress id="replayed" max=${Math.max(1, of)} value=${done}></progress>
        <a href="/record">Look again</a>
      </p>
    </div>
  `;
}

function recordSections(record: RecordSummary): Html {
  return html`
    <section id="classes" aria-labelledby="classes-head">
      <h2 id="classes-head">What was said, and what came</h2>
      <p class="caption">${CLASSES_CAPTION}${figured("came-true")}</p>
      <table class="fleet record" role="table">
        <caption class="unseen">Units by the probability that they were given</caption>
        <thead role="rowgroup">
          <tr role="row">
            <th scope="col" role="columnheader">Given</th>
            <th scope="col" role="columnheader" class="lanes-head"><span>none go out</span><span>half</span><span>all go out</span></th>
            <th scope="col" role="columnheader">Went out</th>
            <th scope="col" role="columnheader">Of units</th>
            <th scope="col" role="columnheader">Came true</th>
          </tr>
        </thead>
        <tbody role="rowgroup">
          ${record.classes.map(classLine)}
        </tbody>
      </table>
    </section>
    <div class="two">
      <section aria-labelledby="worth-head">
        <h2 id="worth-head">What it is worth</h2>
        <dl class="points">
          <dt>Beside plain forecasts</dt>
          ${skillTexts(record).map((text) => html`<dd>${text}</dd>`)}
          ${point("How early", leadText(record))}
          ${point("Its ranges", coverageText(record))}
        </dl>
      </section>
      <section aria-labelledby="days-head">
        <h2 id="days-head">Day by day</h2>
        <table class="days">
          <caption class="unseen">Forecasts by the day they were made on</caption>
          <thead>
            <tr>
              <th scope="col">Made on</th>
              <th scope="col" class="number">Forecasts</th>
              <th scope="col" class="number">To be expected out</th>
              <th scope="col" class="number">Went out</th>
            </tr>
          </thead>
          <tbody>
            ${record.days.map(
              ({ day, forecasts, expected, wentOut }) => html`
                <tr>
                  <th scope="row">${date(day)}</th>
                  <td class="number">${count(forecasts)}</td>
                  <td class="number">${decimal(expected, 1)}</td>
                  <td class="number">${count(wentOut)}</td>
                </tr>
              `,
            )}
          </tbody>
        </table>
      </section>
    </div>
  `;
}

function point(label: string, text: string | null): Html {
  return text === null ? null : html`<dt>${label}</dt><dd>${text}</dd>`;
}

function classLine(row: ClassRow): Html {
  const state = stateOf(row);
  return html`
    <tr role="row" class=${state}>
      <th scope="row" role="rowheader" class="who"><b>${classText(row)}</b><small>${saidText(row)} on average</small></th>
      <td role="cell" class="picture">${classPicture(row)}</td>
      <td role="cell" class="chance"><strong>${share(row.wentOut / row.units)}</strong><small>${rangeText(row)} by chance</small></td>
      <td role="cell" class="due">${count(row.wentOut)} of ${count(row.units)}<small>${expectedText(row)}</small></td>
      <td role="cell" class="step">${sign(state)} ${verdictOfClass(row)}</td>
    </tr>
  `;
}

function stateOf({ cameTrue }: ClassRow): "steady" | "out" {
  return cameTrue ? "steady" : "out";
}

const WIDTH = 300;
const HEIGHT = 30;
const ROOM = 6;
/** A class narrower than this could not be seen. */
const LEAST_WATER = 5;

/** What was said as a stretch of deep water between none and all, and what came as a mark with a bar. */
function classPicture(row: ClassRow): Html {
  const x = (p: number): number => Math.round((ROOM + p * (WIDTH - 2 * ROOM)) * 10) / 10;
  const water = Math.max(LEAST_WATER, x(row.to) - x(row.from));
  const left = Math.min(x(row.from), WIDTH - ROOM - water);
  const state = stateOf(row);
  const y = HEIGHT / 2;
  return html`
    <svg class="lanes" viewBox=${`0 0 ${WIDTH} ${HEIGHT}`} role="img" aria-label=${classAloud(row)}>
      <rect class="water" width=${WIDTH} height=${HEIGHT} rx="4" />
      <rect class="certified" x=${left} width=${water} height=${HEIGHT} />
      <g class=${state}>
        <rect class="soft" x=${x(row.lower)} y=${y - 5} width=${x(row.upper) - x(row.lower)} height="10" rx="5" />
        ${signAt(state, x(row.wentOut / row.units), y, 4.2)}
      </g>
    </svg>
  `;
}
