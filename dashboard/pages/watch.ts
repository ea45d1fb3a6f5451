import { html } from "htm/preact";
import type { ChartPicture } from "../charts/pictures.ts";
import type { UnitPage } from "../page-models/unit.ts";
import type { WatchPart } from "../page-models/watch.ts";
import { date } from "../wording/dates.ts";
import { sentenceCase } from "../wording/numbers.ts";
import { QUANTITY_LABEL } from "../wording/signals.ts";
import {
  LEVEL_CAPTION,
  levelAloud,
  levelCaption,
  levelText,
  NOTHING_SIGNALLED,
  RUN_RULES_ARE_NO_ALARMS,
  runRuleNote,
  signalText,
} from "../wording/watch.ts";
import { chartFigure } from "./chart-figure.ts";
import type { Html } from "./layout.ts";

/** The quantities drawn; the bands have pictures of their own. */
export const DRAWN_QUANTITIES = ["zero", "span", "nonlinearity"] as const;

/** Signals shown on the page itself; all are in its figures. */
const LATEST_SIGNALS = 8;

/** What is charted of a unit: level charts, what they have raised, notes. */
export function watchSection({ watch }: UnitPage, pictures: readonly ChartPicture[], address: string): Html {
  if (watch.rows.length === 0) return null;
  const drawn = drawnCharts(watch);
  return html`
    <section id="watch" aria-labelledby="watch-head">
      <h2 id="watch-head">What has moved since the last adjustment</h2>
      <p class="caption">${LEVEL_CAPTION}</p>
      <div class="three">
        ${drawn.map(
          (chart, i) => html`
            <div>
              <h3>${sentenceCase(QUANTITY_LABEL[chart.quantity])}</h3>
              ${chartFigure({
                name: "individuals",
                address: `${address}/charts/${chart.quantity}`,
                pictures: [pictures[i]!],
                aloud: levelAloud(chart),
                caption: levelCaption(chart),
                table: null,
              })}
            </div>
          `,
        )}
      </div>
      ${signalList(watch)} ${levelTable(watch)} ${notes(watch)}
    </section>
  `;
}

/** The charts that have a picture, in order. */
export function drawnCharts({ charts }: WatchPart): WatchPart["charts"] {
  return charts.filter(
    ({ quantity, points }) => DRAWN_QUANTITIES.some((q) => q === quantity) && points.length > 0,
  );
}

function signalList({ signals }: WatchPart): Html {
  if (signals.length === 0) return html`<p>${NOTHING_SIGNALLED}</p>`;
  const older = signals.length - LATEST_SIGNALS;
  return html`
    <ul class="signals">
      ${signals.slice(0, LATEST_SIGNALS).map((signal) => html`<li><strong>${date(signal.onDay)}</strong> ${signalText(signal)}</li>`)}
    </ul>
    ${older > 0 ? html`<p class="caption">${older} earlier ones are in the page${"\u2019"}s figures.</p>` : null}
  `;
}

function levelTable({ rows }: WatchPart): Html {
  return html`
    <details class="same-figures">
      <summary>Where each quantity stands</summary>
      <table class="figures">
        <caption>Latest weighted mean against its limit</caption>
        <thead><tr><th scope="col">Quantity</th><th scope="col">Checks</th><th scope="col">Level</th></tr></thead>
        <tbody>
          ${rows.map((row) => html`<tr><th scope="row">${QUANTITY_LABEL[row.quantity]}</th><td>${row.checks}</td><td>${levelText(row)}</td></tr>`)}
        </tbody>
      </table>
    </details>
  `;
}

function notes({ rows }: WatchPart): Html {
  const found = rows.map(runRuleNote).filter((note) => note !== null);
  if (found.length === 0) return null;
  return html`
    <details class="same-figures">
      <summary>Run rules met</summary>
      <ul>${found.map((note) => html`<li>${note}</li>`)}</ul>
      <p class="caption">${RUN_RULES_ARE_NO_ALARMS}</p>
    </details>
  `;
}
