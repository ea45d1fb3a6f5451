import { html } from "htm/preact";
import {
  type FileReport,
  HELD_STATES,
  type HeldCount,
  type HeldRow,
  type IngestReport,
} from "../../ingest/index.ts";
import { askerMay } from "../access/person.ts";
import { standsAgainst } from "../intake/held-report.ts";
import type { IntakePage } from "../page-models/intake.ts";
import { type IntakeQuery, intakeAddress, intakeFields } from "../page-models/intake-query.ts";
import { date } from "../wording/dates.ts";
import { heldPlaceText, heldStateText } from "../wording/held.ts";
import {
  firstHeldOf,
  HELD_CAPTION,
  heldTableHeading,
  intakeHeading,
  readAsText,
  reportHeadline,
  SEND_CAPTION,
  tallyText,
} from "../wording/intake.ts";
import { count, sentenceCase } from "../wording/numbers.ts";
import { decisionFields } from "./held-row.ts";
import { hiddenFields } from "./hidden-fields.ts";
import { type Html, renderPage } from "./layout.ts";
import { pager } from "./pager.ts";

/** What came in, what was held back, and where files are sent. */
export function renderIntake(page: IntakePage): string {
  const here = intakeAddress(page.query);
  const figures = `${here}${here.includes("?") ? "&" : "?"}format=`;
  return renderPage({
    title: intakeHeading(page),
    place: "intake",
    intake: true,
    figures: { json: `${figures}json`, csv: `${figures}csv` },
    body: html`
      <h1>${intakeHeading(page)}</h1>
      ${page.report === null ? null : reportSection(page.report)}
      ${askerMay("take-in") ? sendSection() : null} ${heldSection(page)} ${filesSection(page)}
    `,
  });
}

function sendSection(): Html {
  return html`
    <section aria-labelledby="send-head">
      <h2 id="send-head">Send files</h2>
      <form action="/intake" method="post" enctype="multipart/form-data" class="send" id="send">
        <label for="files">Files</label>
        <input id="files" name="files" type="file" multiple required />
        <span class="drop-hint">or drop them here</span>
        <button type="submit">Take them in</button>
        <p class="told" role="status" aria-live="polite"></p>
        <progress max="1" value="0" hidden aria-label="Sent so far"></progress>
      </form>
      <p class="caption">${SEND_CAPTION}</p>
    </section>
  `;
}

function reportSection(report: IngestReport): Html {
  return html`
    <section aria-labelledby="report-head" class="just-sent">
      <h2 id="report-head" tabindex="-1">${reportHeadline(report)}</h2>
      <div class="scroll" tabindex="0" role="region" aria-label="What came of each file">
        <table class="folds">
          <thead>
            <tr>
              <th scope="col">File</th>
              ${COUNTS.map((head) => html`<th scope="col" class="number">${head}</th>`)}
              <th scope="col">Notes</th>
            </tr>
          </thead>
          <tbody>
            ${report.files.map(
              (file) => html`
                <tr class=${file.error === null ? "" : "failed"}>
                  <th scope="row">${file.file}${file.kind === null ? null : html`<small>${file.kind}</small>`}</th>
                  ${countCells(file)}
                  <td>
                    ${file.error}
                    ${file.notes.map((note) => html`<small>${note}</small>`)}
                    ${[
                      ["Held back", tallyText(file.reasons)],
                      ["Flagged", tallyText(file.flags)],
                      ["Read as", readAsText(file)],
                    ]
                      .filter(([, text]) => text !== "")
                      .map(([what, text]) => html`<small>${what}: ${text}</small>`)}
                  </td>
                </tr>
              `,
            )}
          </tbody>
        </table>
      </div>
      ${firstHeldOf(report, ROWS_SHOWN).map(
        ({ reason, rows }) => html`
          <h3>${reason}</h3>
          <ul class="first-held">${rows.map((row) => html`<li>${row}</li>`)}</ul>
        `,
      )}
    </section>
  `;
}

const COUNTS = ["Rows", "Taken in", "Known already", "Held back", "Flagged"];
/** Held rows of each reason that a report names. */
const ROWS_SHOWN = 3;

type FileCounts = Pick<FileReport, "file" | "rows" | "accepted" | "repeated" | "quarantined" | "flagged">;

/** The counts of a file, those held back leading to them. */
function countCells(file: FileCounts): Html {
  const { rows, accepted, repeated, quarantined, flagged } = file;
  return [rows, accepted, repeated, quarantined, flagged].map((n, i) => {
    const isHeld = COUNTS[i] === "Held back" && n > 0;
    const shown = isHeld
      ? html`<a href=${`${intakeAddress({ file: file.file })}#held`}>${count(n)}</a>`
      : count(n);
    return html`<td class="number" data-head=${COUNTS[i]!.toLowerCase()}>${shown}</td>`;
  });
}

function heldSection(page: IntakePage): Html {
  const { counts, query, rows, pages } = page;
  return html`
    <section id="held" aria-labelledby="held-head">
      <h2 id="held-head">${heldTableHeading(query.state, counts.rows)}</h2>
      <p class="caption">${HELD_CAPTION}</p>
      ${reasons(page)} ${chooser(page)}
      ${
        rows.length === 0
          ? html`<p class="nothing">No such row.${intakeFields(query).length > 0 ? html` <a href="/intake#held">All that are held back</a>` : null}</p>`
          : html`
              <div class="scroll" tabindex="0" role="region" aria-label="Held rows">
                <table class="held folds">
                  <thead>
                    <tr>
                      <th scope="col">Row</th>
                      <th scope="col">Site and unit</th>
                      <th scope="col">What stands against it</th>
                      <th scope="col">Where it stood</th>
                    </tr>
                  </thead>
                  <tbody>${rows.map(heldLine)}</tbody>
                </table>
              </div>
            `
      }
      ${pager({
        page: query.page,
        pages,
        address: (to) => `${intakeAddress({ ...query, page: to })}#held`,
        words: { back: "Newer", on: "Older" },
      })}
      ${query.state === "held" && counts.rows > 0 ? releaseForm(query, counts.rows) : null}
    </section>
  `;
}

function heldLine(row: HeldRow): Html {
  const stands = standsAgainst(row);
  return html`
    <tr>
      <th scope="row"><a href=${`/intake/held/${row.id}`}>${row.id}</a></th>
      <td>${row.site ?? "\u2013"}${row.instrument === null ? null : html`<small>${row.instrument}</small>`}</td>
      <td>${stands?.message ?? sentenceCase(heldStateText(row.state))}<small>${stands?.reason ?? row.reason}</small></td>
      <td class="place" title=${row.file}>${heldPlaceText({ ...row, file: nameOnly(row.file) })}<small>${date(row.takenInAtMs / 86_400_000)}</small></td>
    </tr>
  `;
}

function nameOnly(path: string): string {
  return path.split(/[\\/]/).at(-1) ?? path;
}

/** The reasons, the commonest first, each leading to its rows. */
function reasons({ counts, query }: IntakePage): Html {
  if (counts.byReason.length < 2) return null;
  const link = ({ name, rows }: HeldCount) =>
    html`<li><a href=${`${intakeAddress({ ...query, reason: name as IntakeQuery["reason"], page: 1 })}#held`}>${name}</a> ${count(rows)}</li>`;
  return html`<ul class="reasons" aria-label="Rows by reason">${counts.byReason.map(link)}</ul>`;
}

function chooser({ counts, query }: IntakePage): Html {
  return html`
    <form action="/intake#held" method="get" class="held-chooser">
      ${choice("reason", "Reason", counts.byReason, query.reason)}
      ${choice("site", "Site", counts.bySite, query.site)}
      ${choice("file", "File", counts.byFile, query.file)}
      <div>
        <label for="unit">Unit</label>
        <input id="unit" name="unit" value=${query.unit ?? ""} autocomplete="off" spellcheck="false" />
      </div>
      <div>
        <label for="state">State</label>
        <select id="state" name="state">
          ${HELD_STATES.map((state) => html`<option value=${state} selected=${state === query.state}>${heldStateText(state)}</option>`)}
        </select>
      </div>
      <button type="submit">Show</button>
    </form>
  `;
}

function choice(name: string, label: string, counts: readonly HeldCount[], chosen: string | null): Html {
  const known = counts.flatMap((one) => (one.name === null ? [] : [{ ...one, name: one.name }]));
  const missing = chosen !== null && !known.some((one) => one.name === chosen);
  return html`
    <div>
      <label for=${name}>${label}</label>
      <select id=${name} name=${name}>
        <option value="">any</option>
        ${missing ? html`<option value=${chosen} selected>${chosen}</option>` : null}
        ${known.map((one) => html`<option value=${one.name} selected=${one.name === chosen}>${`${one.name} (${count(one.rows)})`}</option>`)}
      </select>
    </div>
  `;
}

function releaseForm(query: IntakeQuery, rows: number): Html {
  if (!askerMay("take-in")) return null;
  return html`
    <details class="release-all">
      <summary>Read ${rows === 1 ? "it" : `all ${count(rows)}`} again</summary>
      <form action="/intake/held" method="post" class="decide">
        ${hiddenFields(intakeFields(query))} ${decisionFields()}
        <button type="submit">Read again by what is known now</button>
      </form>
    </details>
  `;
}

function filesSection({ files, allFiles, folder }: IntakePage): Html {
  if (files.length === 0) return null;
  return html`
    <section aria-labelledby="came-head">
      <h2 id="came-head">What came</h2>
      ${allFiles > files.length ? html`<p class="caption">The latest ${count(files.length)} of ${count(allFiles)} files.</p>` : null}
      ${folder === "" ? null : html`<p class="caption">All of them lay in ${folder}</p>`}
      <div class="scroll" tabindex="0" role="region" aria-label="Files that came">
        <table class="folds">
          <thead>
            <tr>
              <th scope="col">File</th>
              <th scope="col">Came</th>
              ${COUNTS.map((head) => html`<th scope="col" class="number">${head}</th>`)}
            </tr>
          </thead>
          <tbody>
            ${files.map(
              (file) => html`
                <tr>
                  <th scope="row" title=${file.file}>${file.file.slice(folder.length)}<small>${file.kind}</small></th>
                  <td data-head="came">${date(file.takenInAtMs / 86_400_000)}</td>
                  ${countCells(file)}
                </tr>
              `,
            )}
          </tbody>
        </table>
      </div>
    </section>
  `;
}
