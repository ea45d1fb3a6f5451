import { html } from "htm/preact";
import type { Html } from "../pages/layout.ts";

/** A part of the pack: what it is, which clauses it may help with, where its figures are. */
export function section(title: string, clauses: string, file: string | null, body: Html): Html {
  return html`
    <section>
      <h2>${title}</h2>
      <p class="clauses">${clauses}</p>
      ${body}
      ${file === null || file === "" ? null : html`<p class="file">${`All figures: ${file}`}</p>`}
    </section>
  `;
}

/**
 * A table of texts.
 *
 * @param heads A leading ">" sets the column flush right.
 * @param empty What stands in its place where there are no rows.
 */
export function table(
  heads: readonly string[],
  rows: readonly (readonly string[])[],
  empty: string,
  name = "",
): Html {
  if (rows.length === 0) return html`<p class="soft">${empty}</p>`;
  const flush = heads.map((head) => (head.startsWith(">") ? "number" : ""));
  return html`
    <table class=${name}>
      <thead>
        <tr>${heads.map((head, i) => html`<th scope="col" class=${flush[i]}>${head.replace(/^>/, "")}</th>`)}</tr>
      </thead>
      <tbody>
        ${rows.map((row) => html`<tr>${row.map((cell, i) => html`<td class=${flush[i]}>${cell}</td>`)}</tr>`)}
      </tbody>
    </table>
  `;
}
