import { html } from "htm/preact";
import { BAND_NAMES } from "../../analysis/index.ts";
import type { LinearityView } from "../assessment/views.ts";
import type { Lives } from "../page-models/lives.ts";
import type { Html } from "../pages/layout.ts";
import { date } from "../wording/dates.ts";
import { decimal, signed } from "../wording/numbers.ts";
import { BAND_LABEL } from "../wording/states.ts";

/** Tables with the figures of the unit page's charts. */

/** What is expected of each band, month by month until the service; the readings are in the table of checks. */
export function livesTable({ bands, asOfDay }: Lives): Html {
  const days = bands[0]?.ahead?.day ?? [];
  const everyMonth = days
    .map((day, i) => ({ day, i }))
    .filter(
      ({ day, i }) =>
        i === 0 ||
        i === days.length - 1 ||
        Math.floor((day - asOfDay) / 30.4) !== Math.floor(((days[i - 1] ?? day) - asOfDay) / 30.4),
    );
  return html`
    <table class="figures">
      <caption>Expected error over tolerance: the middle, and what holds 90 %</caption>
      <thead>
        <tr>
          <th scope="col">Day</th>
          ${BAND_NAMES.map((band) => html`<th scope="col" colspan="2">${BAND_LABEL[band]}</th>`)}
        </tr>
      </thead>
      <tbody>
        ${everyMonth.map(
          ({ day, i }) => html`
            <tr>
              <th scope="row">${date(day)}</th>
              ${bands.map(({ ahead }) =>
                ahead === null
                  ? html`<td colspan="2">not known</td>`
                  : html`<td>${decimal(ahead.p50[i]!, 2)}</td><td>${decimal(ahead.p05[i]!, 2)} to ${decimal(ahead.p95[i]!, 2)}</td>`,
              )}
            </tr>
          `,
        )}
      </tbody>
    </table>
  `;
}

/** The lines of the linearity picture as coefficients and at the torques where bands are judged. */
export function linearityTable(
  lines: readonly { readonly name: string; readonly view: LinearityView | null }[],
): Html {
  const known = lines.flatMap(({ name, view }) => (view === null ? [] : [{ name, view }]));
  const plusMinus = (value: number | null, se: number | null): string =>
    value === null || se === null ? "not known" : `${signed(value, 2)} \u00b1 ${decimal(se, 2)}`;
  return html`
    <table class="figures">
      <caption>Error along the torque, % of full scale, with standard errors</caption>
      <thead>
        <tr><th scope="col">Line</th><th scope="col">Checks</th><th scope="col">Zero</th><th scope="col">Span</th><th scope="col">Nonlinearity</th></tr>
      </thead>
      <tbody>
        ${known.map(
          ({ name, view }) => html`
            <tr>
              <th scope="row">${name}, ${date(view.fromDay)} to ${date(view.toDay)}</th>
              <td>${view.checks}</td>
              <td>${plusMinus(view.zero, view.zeroSe)}</td>
              <td>${plusMinus(view.span, view.spanSe)}</td>
              <td>${plusMinus(view.nonlinearity, view.nonlinearitySe)}</td>
            </tr>
          `,
        )}
      </tbody>
    </table>
  `;
}
