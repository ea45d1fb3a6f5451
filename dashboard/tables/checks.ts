import { html } from "htm/preact";
import type { UnitReading } from "../assessment/views.ts";
import { setAsideAddress } from "../page-models/note-form.ts";
import type { Html } from "../pages/layout.ts";
import { remarks, sourceText } from "../wording/checks.ts";
import { date } from "../wording/dates.ts";
import { decimal, measured, signed } from "../wording/numbers.ts";

const HEADS = [
  "Torque %",
  "Speed min\u207b\u00b9",
  "Reading mPa\u00b7s",
  "Certified mPa\u00b7s",
  "Error % FS",
  "Of tolerance",
  "Own error % FS",
  "Fluid \u0394K",
  "Lot",
  "Geometry",
  "By",
  "Remarks",
];

/** Every reading down to the line it came from, one row each; the rows of a check stand together. */
export function checksTable(instrument: string, readings: readonly UnitReading[], caption: string): Html {
  const checks = [...Map.groupBy(readings, (reading) => reading.check).values()];
  return html`
    <table class="figures checks">
      <caption class="unseen">${caption}</caption>
      <thead>
        <tr><th scope="col">Check</th>${HEADS.map((text) => html`<th scope="col">${text}</th>`)}</tr>
      </thead>
      ${checks.map((rows) => html`<tbody>${rows.map((reading, i) => checkRow(instrument, reading, i, rows))}</tbody>`)}
    </table>
  `;
}

function checkRow(instrument: string, reading: UnitReading, i: number, check: readonly UnitReading[]): Html {
  const number = (text: string): Html => html`<td class="number">${text}</td>`;
  return html`
    <tr class=${reading.use > 0 ? "" : "not-used"}>
      ${
        i === 0
          ? html`<th scope="rowgroup" rowspan=${check.length}>${date(reading.day)} <small class="source">${sourceText(check)}</small> <small><a class="aside" href=${setAsideAddress(instrument, reading)}>set aside<span class="unseen"> the check of ${date(reading.day)}</span></a></small></th>`
          : null
      }
      ${number(decimal(reading.torque, 1))}
      ${number(decimal(reading.speedRpm, Number.isInteger(reading.speedRpm) ? 0 : 1))}
      ${number(measured(reading.readingMPaS))}
      ${number(measured(reading.certifiedMPaS))}
      ${number(signed(reading.error, 2))}
      ${number(signed(reading.errorOverTolerance, 2))}
      ${number(reading.errorWithoutSharedCauses === null ? "\u2013" : signed(reading.errorWithoutSharedCauses, 2))}
      ${number(reading.temperatureOffsetK === null ? "\u2013" : signed(reading.temperatureOffsetK, 2))}
      <td>${reading.fluidLot ?? "\u2013"}</td>
      <td>${reading.geometry ?? "\u2013"}</td>
      <td>${reading.operator ?? "\u2013"}</td>
      <td class="remarks">${remarks(reading)}</td>
    </tr>
  `;
}
