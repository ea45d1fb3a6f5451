import { html } from "htm/preact";
import type { UnitPage } from "../page-models/unit.ts";
import { speaking, type WatchPart, type WatchRow } from "../page-models/watch.ts";
import { date } from "../wording/dates.ts";
import { counted, sentenceCase } from "../wording/numbers.ts";
import { QUANTITY_LABEL } from "../wording/signals.ts";
import {
  NOTHING_SIGNALLED,
  quietText,
  signalText,
  standsText,
  WATCH_CAPTION,
  watchSentence,
} from "../wording/watch.ts";
import { figured } from "./figured.ts";
import type { Html } from "./layout.ts";
import { stripFigure } from "./strip-picture.ts";

/** Quantities drawn on the unit's page; the others are one link away. */
const MOST_DRAWN = 3;

/** Signals listed for each of them. */
const LATEST_SIGNALS = 2;

/** The page of one quantity's charts. */
export function quantityAddress(instrument: string, quantity: string): string {
  return `/units/${encodeURIComponent(instrument)}/watch/${quantity}`;
}

/** What is charted of a unit: the quantities that speak with all their charts, the quiet ones in a line each. */
export function watchSection({ watch, instrument }: UnitPage): Html {
  if (watch.rows.length === 0) return null;
  const loud = speaking(watch);
  const drawn = loud.slice(0, MOST_DRAWN);
  const rest = watch.rows.filter((row) => !drawn.includes(row));
  return html`
    <section id="watch" aria-labelledby="watch-head">
      <h2 id="watch-head">What has moved since the last adjustment</h2>
      <p class="caption">${watchSentence(loud)} ${drawn.length === 0 ? null : WATCH_CAPTION}${figured("level-chart")}${figured("scatter")}</p>
      ${drawn.map((row) => loudQuantity(row, instrument))}
      ${rest.length === 0 ? null : quietQuantities(rest, instrument)}
      ${earlierSignals(watch)}
    </section>
  `;
}

function loudQuantity(row: WatchRow, instrument: string): Html {
  return html`
    <div class="quantity">
      <h3><a href=${quantityAddress(instrument, row.quantity)}>${sentenceCase(QUANTITY_LABEL[row.quantity])}</a></h3>
      ${
        row.signals.length === 0
          ? html`<p>${standsText(row)}</p>`
          : row.signals
              .slice(0, LATEST_SIGNALS)
              .map((signal) => html`<p><strong>${date(signal.onDay)}.</strong> ${signalText(signal)}</p>`)
      }
      <div class="strips">${row.strips.map(stripFigure)}</div>
    </div>
  `;
}

function quietQuantities(rows: readonly WatchRow[], instrument: string): Html {
  return html`
    <ul class="plain quiet-ones">
      ${rows.map(
        (row) =>
          html`<li><a href=${quantityAddress(instrument, row.quantity)}>${sentenceCase(QUANTITY_LABEL[row.quantity])}</a> ${quietText(row)}</li>`,
      )}
    </ul>
  `;
}

/** What the charts of earlier lives raised, folded: it says how the unit has behaved before. */
function earlierSignals({ rows, signals }: WatchPart): Html {
  const present = new Set(rows.flatMap((row) => row.signals));
  const earlier = signals.filter((signal) => !present.has(signal));
  if (earlier.length === 0) return signals.length === 0 ? html`<p>${NOTHING_SIGNALLED}</p>` : null;
  return html`
    <details class="same-figures">
      <summary>${counted(earlier.length, "signal")} of its earlier lives</summary>
      <ul>${earlier.map((signal) => html`<li><strong>${date(signal.onDay)}.</strong> ${signalText(signal)}</li>`)}</ul>
    </details>
  `;
}
