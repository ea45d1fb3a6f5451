import { html } from "htm/preact";
import { type HeldField, type HeldRow, heldFields } from "../../ingest/index.ts";
import { askerMay, whoAsks } from "../access/person.ts";
import { standsAgainst } from "../intake/held-report.ts";
import { HELD_CAUTION, heldDecisionText, heldPlaceText, heldStateText } from "../wording/held.ts";
import { sentenceCase } from "../wording/numbers.ts";
import { type Html, renderPage } from "./layout.ts";

/** One held row: as it came, field by field with what is put in its place, and what was done about it. */
export function renderHeldRow(row: HeldRow): string {
  const stands = standsAgainst(row);
  return renderPage({
    title: `Row ${row.id}, ${heldStateText(row.state)}`,
    place: "intake",
    body: html`
      <p class="path"><a href="/intake#held">Intake</a></p>
      <h1>${stands?.message ?? `${sentenceCase(heldStateText(row.state))}.`}</h1>
      <p class="rests-on">Row ${row.id} · ${heldPlaceText(row)}${row.site === null ? null : ` · ${row.site}`} · <span class="code">${stands?.reason ?? row.reason}</span></p>
      <section aria-labelledby="came-head">
        <h2 id="came-head">As it came</h2>
        <pre class="raw" tabindex="0">${row.raw}</pre>
      </section>
      ${record(row)}
      ${row.state === "held" && askerMay("take-in") ? decisions(row) : null}
    `,
  });
}

/** Who decides, and why: part of every form that changes something. */
export function decisionFields(prefix = ""): Html {
  const by = `${prefix}by`;
  const why = `${prefix}why`;
  return html`
    ${
      whoAsks().name === null
        ? html`<div>
            <label for=${by}>Your name</label>
            <input id=${by} name="by" required maxlength="100" autocomplete="name" />
          </div>`
        : null
    }
    <div class="why">
      <label for=${why}>Why</label>
      <input id=${why} name="why" required maxlength="500" autocomplete="off" />
    </div>
  `;
}

function record({ decisions: made, message }: HeldRow): Html {
  if (made.length === 0) return null;
  return html`
    <section aria-labelledby="record-head">
      <h2 id="record-head">What was done about it</h2>
      <ol class="decisions">
        <li>When it came: ${message}</li>
        ${made.map((decision) => html`<li>${heldDecisionText(decision)}</li>`)}
      </ol>
    </section>
  `;
}

function decisions(row: HeldRow): Html {
  const address = `/intake/held/${row.id}`;
  if (row.way === null) {
    return html`
      <p>This row was kept by an older version, without the header of its file. Send ${row.file} again, then it can be mended.</p>
      ${dismissForm(address)}
    `;
  }
  return html`
    <section aria-labelledby="mend-head">
      <h2 id="mend-head">Mend it</h2>
      <p class="caption">${HELD_CAUTION} Values are written as in the file: its units, its decimal mark, its dates. Leave empty what stays.</p>
      <form action=${address} method="post" class="mend">
        <input type="hidden" name="action" value="mend" />
        <div class="scroll" tabindex="0" role="region" aria-label="Fields of the row">
          <table class="folds">
            <thead>
              <tr>
                <th scope="col">Column</th>
                <th scope="col">In the file</th>
                <th scope="col">New</th>
              </tr>
            </thead>
            <tbody>${namedFirst(heldFields(row), standsAgainst(row)?.message ?? "").map(fieldLine)}</tbody>
          </table>
        </div>
        <div class="decide">${decisionFields("mend-")}<button type="submit">Mend and read it again</button></div>
      </form>
      <details>
        <summary>Write the whole row anew</summary>
        <form action=${address} method="post" class="decide">
          <input type="hidden" name="action" value="mend-row" />
          <div class="whole">
            <label for="row">The row, as its file should have had it</label>
            <textarea id="row" name="row" rows="3" required spellcheck="false">${row.raw}</textarea>
          </div>
          ${decisionFields("row-")}
          <button type="submit">Read this instead</button>
        </form>
      </details>
    </section>
    <section aria-labelledby="else-head">
      <h2 id="else-head">Or leave it as it is</h2>
      <details>
        <summary>Read it again by what is known now</summary>
        <form action=${address} method="post" class="decide">
          <input type="hidden" name="action" value="release" />
          ${decisionFields("release-")}
          <button type="submit">Read it again</button>
        </form>
      </details>
      ${row.way.kind === "readings" && standsAgainst(row)?.reason === "conflicts" ? replaceForm(address) : null} ${dismissForm(address)}
    </section>
  `;
}

function replaceForm(address: string): Html {
  return html`
    <details>
      <summary>Put it in the place of the reading that it contradicts</summary>
      <form action=${address} method="post" class="decide">
        <input type="hidden" name="action" value="replace" />
        ${decisionFields("replace-")}
        <button type="submit">Replace the stored reading</button>
        <p class="caption">The values that stood there stay on record.</p>
      </form>
    </details>
  `;
}

function dismissForm(address: string): Html {
  return html`
    <details>
      <summary>Dismiss it</summary>
      <form action=${address} method="post" class="decide">
        <input type="hidden" name="action" value="dismiss" />
        ${decisionFields("dismiss-")}
        <button type="submit">Dismiss this row</button>
      </form>
    </details>
  `;
}

/** The fields that the objection names come first. */
function namedFirst(fields: readonly HeldField[], message: string): readonly HeldField[] {
  const words = new Set(message.split(/\W+/));
  // "instrument" or "site" may stand in any sentence; with its unit a name means the column.
  const isNamed = ({ column }: HeldField) =>
    column.includes("_") ? words.has(column) : message.includes(`field ${column} `);
  return [...fields.filter(isNamed), ...fields.filter((field) => !isNamed(field))];
}

function fieldLine({ column, header, before, mended }: HeldField): Html {
  const id = `field-${column}`;
  return html`
    <tr>
      <th scope="row">
        <label for=${id}>${column}</label>
        ${header === null || header === column ? null : html`<small>${header}</small>`}
      </th>
      <td class="before">${header === null ? html`<small>not a column of the file</small>` : (before ?? "\u2013")}</td>
      <td><input id=${id} name=${`new-${column}`} value=${mended ?? ""} autocomplete="off" spellcheck="false" /></td>
    </tr>
  `;
}
