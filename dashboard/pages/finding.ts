import { html } from "htm/preact";
import { FINDING_DECISIONS } from "../../ingest/index.ts";
import { askerMay } from "../access/person.ts";
import type { FindingView } from "../assessment/service-desk.ts";
import { findingAddress } from "../page-models/findings.ts";
import { date } from "../wording/dates.ts";
import {
  boundsText,
  CHECKS_CAPTION,
  DECIDE_CAPTION,
  DECISION_LABEL,
  decidedText,
  FINDINGS_CAUTION,
  foundText,
  OFF_CAPTION,
  RESULTS_CAPTION,
  recordedText,
  windowText,
} from "../wording/findings.ts";
import { count, countedInWords, decimal, percent, sentenceCase, signed } from "../wording/numbers.ts";
import { figured } from "./figured.ts";
import { decisionFields } from "./held-row.ts";
import { type Html, renderPage } from "./layout.ts";
import { windowPicture } from "./window-picture.ts";

/** The longest list of results on the page; all of them are in its figures. */
const MOST_RESULTS = 200;

/** One unit found out of tolerance: since when, what results may be off by, and what people decided. */
export function renderFinding(asOf: string, finding: FindingView): string {
  const { found, since } = finding;
  const address = findingAddress(finding);
  const sentence = `${found.instrument} was found out of tolerance ${foundText(found)}.`;
  return renderPage({
    title: sentence,
    place: "findings",
    figures: { json: `${address}?format=json`, csv: `${address}?format=csv` },
    body: html`
      <p class="path"><a href="/findings">Findings</a></p>
      <h1>${sentence}</h1>
      <p class="rests-on">As of ${date(Date.parse(asOf) / 86_400_000)} · ${found.site ?? "no site"} · <a href=${`/units/${encodeURIComponent(found.instrument)}`}>all about the unit</a></p>
      <section aria-labelledby="since-head">
        <h2 id="since-head">Since when</h2>
        <p>${windowText(since)}</p>
        ${since === null ? null : span(finding)}
        ${since === null ? null : html`<p class="caption">By its checks as they were read: ${boundsText(since)}.${figured("since-when")}</p>`}
      </section>
      ${since === null || since.offNow.length === 0 ? null : offTable(finding)}
      ${checksOfWindow(finding)} ${results(finding)} ${decided(finding)} ${decide(finding)}
      <p class="caution">${FINDINGS_CAUTION}</p>
    `,
  });
}

/** From well before the window to the day on which it was found. */
function span({ found, since }: FindingView): Html {
  const first = since?.left?.p05 ?? since?.course.day[0] ?? found.foundDay - 90;
  const from = first - Math.max(14, 0.25 * (found.foundDay - first));
  return html`
    <figure class="window-figure">
      ${windowPicture(found, since, from, found.foundDay)}
      <figcaption><span>${date(from)}</span><span>found ${date(found.foundDay)}</span></figcaption>
    </figure>
  `;
}

function offTable({ since }: FindingView): Html {
  const off = since!.offNow;
  return html`
    <section aria-labelledby="off-head">
      <h2 id="off-head">What a result may be off by</h2>
      <p class="caption">${OFF_CAPTION}${figured("linearity")}</p>
      <div class="scroll" tabindex="0" role="region" aria-label="Error of a result by torque">
        <table>
          <thead>
            <tr><th scope="col">Torque, %</th>${off.map(({ torquePercent }) => html`<th scope="col" class="number">${decimal(torquePercent, 0)}</th>`)}</tr>
          </thead>
          <tbody>
            <tr><th scope="row">Off by, %</th>${off.map(({ p50 }) => html`<td class="number">${signed(p50, 1)}</td>`)}</tr>
            <tr><th scope="row">90 % within, %</th>${off.map(({ p05, p95 }) => html`<td class="number"><small>${signed(p05, 1)}</small><small>${signed(p95, 1)}</small></td>`)}</tr>
          </tbody>
        </table>
      </div>
    </section>
  `;
}

function checksOfWindow({ checks }: FindingView): Html {
  if (checks.length === 0) return null;
  return html`
    <section aria-labelledby="checks-head">
      <h2 id="checks-head">${sentenceCase(countedInWords(checks.length, "check"))} of that time</h2>
      <p class="caption">${CHECKS_CAPTION}</p>
      <div class="scroll" tabindex="0" role="region" aria-label="Checks of that time">
        <table>
          <thead>
            <tr>
              <th scope="col">Checked</th>
              <th scope="col" class="number">Read, of tolerance</th>
              <th scope="col" class="number">At torque, %</th>
              <th scope="col" class="number">Out by then</th>
              <th scope="col" class="number">Off by, %</th>
            </tr>
          </thead>
          <tbody>
            ${checks.slice(-MOST_RESULTS).map(
              ({ day, worst, torquePercent, off, leftBy }) => html`
                <tr>
                  <th scope="row">${date(day)}</th>
                  <td class="number">${decimal(worst, 2)}${worst > 1 ? ", out" : ""}</td>
                  <td class="number">${decimal(torquePercent, 0)}</td>
                  <td class="number">${percent(leftBy)}</td>
                  <td class="number">${signed(off.p50, 1)}<small>${signed(off.p05, 1)} to ${signed(off.p95, 1)}</small></td>
                </tr>
              `,
            )}
          </tbody>
        </table>
      </div>
    </section>
  `;
}

function results({ doubted }: FindingView): Html {
  if (doubted.length === 0) {
    return html`
      <section aria-labelledby="results-head">
        <h2 id="results-head">Results measured in that time</h2>
        <p class="nothing">None was taken in. A file <code>results.csv</code> with instrument, measured_at, sample, viscosity and torque names them.</p>
      </section>
    `;
  }
  return html`
    <section aria-labelledby="results-head">
      <h2 id="results-head">${count(doubted.length)} results were measured in that time</h2>
      <p class="caption">${RESULTS_CAPTION}${doubted.length > MOST_RESULTS ? ` The first ${MOST_RESULTS} of them; all are in this page\u2019s figures.` : ""}</p>
      <div class="scroll" tabindex="0" role="region" aria-label="Results measured in that time">
        <table>
          <thead>
            <tr>
              <th scope="col">Sample</th>
              <th scope="col">Measured</th>
              <th scope="col" class="number">mPa·s</th>
              <th scope="col" class="number">Torque, %</th>
              <th scope="col" class="number">Out by then</th>
              <th scope="col" class="number">Off by, %</th>
            </tr>
          </thead>
          <tbody>
            ${doubted.slice(0, MOST_RESULTS).map(
              ({ result, off, leftBy }) => html`
                <tr>
                  <th scope="row">${result.sample === "" ? "\u2013" : result.sample}</th>
                  <td>${date(result.measuredAtMs / 86_400_000)}</td>
                  <td class="number">${result.viscosityMPaS ?? "\u2013"}</td>
                  <td class="number">${result.torquePercent ?? "\u2013"}</td>
                  <td class="number">${percent(leftBy)}</td>
                  <td class="number">${off === null ? "torque not recorded" : html`${signed(off.p50, 1)}<small>${signed(off.p05, 1)} to ${signed(off.p95, 1)}</small>`}</td>
                </tr>
              `,
            )}
          </tbody>
        </table>
      </div>
    </section>
  `;
}

function decided({ record, isClosed }: FindingView): Html {
  if (record === null) return null;
  return html`
    <section id="decided" aria-labelledby="decided-head" tabindex="-1">
      <h2 id="decided-head">${isClosed ? "Closed" : "Open"}</h2>
      <ol class="decisions">
        <li>${recordedText(record)}</li>
        ${record.decisions.map((made) => html`<li>${decidedText(made)}</li>`)}
      </ol>
    </section>
  `;
}

function decide(finding: FindingView): Html {
  if (!askerMay("govern")) return null;
  const { record } = finding;
  return html`
    <section aria-labelledby="decide-head">
      <h2 id="decide-head">${record === null ? "Nobody has recorded it yet" : "Decide on it"}</h2>
      <p class="caption">${DECIDE_CAPTION}</p>
      <form action=${findingAddress(finding)} method="post" class="decide">
        <div>
          <label for="decision">What is decided</label>
          <select id="decision" name="decision" required=${record !== null}>
            <option value="">${record === null ? "nothing yet" : ""}</option>
            ${FINDING_DECISIONS.map((name) => html`<option value=${name}>${DECISION_LABEL[name]}</option>`)}
          </select>
        </div>
        ${decisionFields()}
        <button type="submit">${record === null ? "Record it with its window" : "Keep the decision"}</button>
      </form>
    </section>
  `;
}
