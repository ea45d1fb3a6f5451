import { html } from "htm/preact";
import { CHECK_VALUES } from "../how/check-values.ts";
import { FIGURE_GROUPS } from "../how/entries.ts";
import type { FigureEntry } from "../how/entry.ts";
import { decimal } from "../wording/numbers.ts";
import { type Html, renderPage } from "./layout.ts";

const SENTENCE = "Every figure, how it is worked out, and what it was held against.";

/** How every figure is worked out: formula, assumptions, source, check value; one anchor each. */
export function renderHow(): string {
  return renderPage({
    title: "How it is figured",
    place: "how",
    figures: { json: "/how?format=json", csv: "/how?format=csv" },
    body: html`
      <h1>${SENTENCE}</h1>
      <p class="rests-on">The check values are worked out anew by the program’s own tests; those of published data are held against the data they come from. The sign ≈ beside a figure leads here.</p>
      <nav class="contents" aria-label="Figures">
        ${FIGURE_GROUPS.map(
          ({ title, entries }) => html`
            <div>
              <h2>${title}</h2>
              <ul>${entries.map(({ id, name }) => html`<li><a href=${`#${id}`}>${name}</a></li>`)}</ul>
            </div>
          `,
        )}
      </nav>
      ${FIGURE_GROUPS.map(({ entries }) => entries.map(entryPart))}
    `,
  });
}

function entryPart(entry: FigureEntry): Html {
  const { id, name, says, formula, letters, assumes, source, checks } = entry;
  return html`
    <section id=${id} class="entry" aria-labelledby=${`${id}-head`}>
      <h2 id=${`${id}-head`}>${name}</h2>
      <p>${says}</p>
      <div class="formula" tabindex="0" role="region" aria-label=${`Formula: ${name}`}>${formula}</div>
      <p class="letters">${letters}</p>
      <dl class="facts">
        <dt>Takes for granted</dt>
        ${assumes.map((text) => html`<dd>${text}</dd>`)}
        <dt>Source</dt>
        <dd>${source}</dd>
        <dt>Held against</dt>
        ${checks.map(({ value, from }) => {
          const { given, expected, decimals, unit } = CHECK_VALUES[value];
          return html`<dd>${given}: <b>${decimal(expected, decimals)}${unit === "" ? "" : ` ${unit}`}</b> (${from})</dd>`;
        })}
      </dl>
    </section>
  `;
}
