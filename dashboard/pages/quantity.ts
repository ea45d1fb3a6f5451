import { html } from "htm/preact";
import type { QuantityPage } from "../page-models/quantity.ts";
import type { Strip } from "../page-models/strips.ts";
import { quantityTable } from "../tables/quantity.ts";
import { date } from "../wording/dates.ts";
import { sentenceCase } from "../wording/numbers.ts";
import { QUANTITY_LABEL } from "../wording/signals.ts";
import { STRIP_MEANING } from "../wording/strips.ts";
import {
  limitsText,
  RUN_RULES_ARE_NO_ALARMS,
  runRuleNote,
  signalText,
  standsText,
  stepInMeanText,
  WATCH_CAPTION,
} from "../wording/watch.ts";
import { figured } from "./figured.ts";
import { type Html, renderPage } from "./layout.ts";
import { stripFigure } from "./strip-picture.ts";
import { quantityAddress } from "./watch.ts";

/** One quantity of one unit on all its charts, what each means, what it raised, and the same figures as a table. */
export function renderQuantity(page: QuantityPage): string {
  const { instrument, row, chart } = page;
  const name = QUANTITY_LABEL[row.quantity];
  const address = quantityAddress(instrument, row.quantity);
  const heading = `${sentenceCase(name)} of ${instrument} since its last adjustment`;
  const step = stepInMeanText(chart);
  const note = runRuleNote(row);
  return renderPage({
    title: heading,
    place: "units",
    figures: { json: `${address}?format=json`, csv: `${address}?format=csv` },
    body: html`
      <p class="path"><a href=${`/units/${encodeURIComponent(instrument)}#watch`}>${instrument}</a></p>
      <h1>${heading}</h1>
      <p class="rests-on">${limitsText(chart)}</p>
      <section aria-labelledby="says-head">
        <h2 id="says-head">What the charts say</h2>
        <p>${standsText(row)}</p>
        ${row.signals.length === 0 ? null : html`<ul>${row.signals.map((signal) => html`<li><strong>${date(signal.onDay)}.</strong> ${signalText(signal)}</li>`)}</ul>`}
        ${step === null ? null : html`<p>${step}</p>`}
        ${note === null ? null : html`<p>${note} ${RUN_RULES_ARE_NO_ALARMS}</p>`}
      </section>
      <section aria-labelledby="charts-head">
        <h2 id="charts-head">Its charts</h2>
        <p class="caption">${WATCH_CAPTION}${figured("individuals")}</p>
        <div class="strips large">${row.strips.map(largeStrip)}</div>
      </section>
      <section aria-labelledby="figures-head">
        <h2 id="figures-head">The same figures</h2>
        <div class="scroll" tabindex="0" role="region" aria-label="Every check on each chart">${quantityTable(page)}</div>
      </section>
    `,
  });
}

function largeStrip(strip: Strip): Html {
  return html`<div>${stripFigure(strip)}<p>${STRIP_MEANING[strip.kind]}</p></div>`;
}
