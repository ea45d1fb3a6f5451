import { html } from "htm/preact";
import type { QuantityPage } from "../page-models/quantity.ts";
import type { Html } from "../pages/layout.ts";
import { date } from "../wording/dates.ts";
import { decimal, signed } from "../wording/numbers.ts";
import { QUANTITY_LABEL, QUANTITY_UNIT } from "../wording/signals.ts";

/** Every check of one quantity, newest first, on each of its charts. */
export function quantityTable({ row, chart, individuals }: QuantityPage): Html {
  const { limits, cusumInterval, points } = chart;
  const number = (text: string): Html => html`<td class="number">${text}</td>`;
  const orDash = (value: number | null | undefined, digits: number): string =>
    value === null || value === undefined || Number.isNaN(value) ? "\u2013" : decimal(value, digits);
  const head = (text: string, limit: string): Html =>
    html`<th scope="col" class="number">${text} <small>${limit}</small></th>`;
  return html`
    <table class="figures">
      <caption>${QUANTITY_LABEL[row.quantity]}, ${QUANTITY_UNIT[row.quantity]}; charts in standard deviations</caption>
      <thead>
        <tr>
          <th scope="col">Check</th>
          ${head("Value", individuals === null ? "no limits yet" : `${decimal(individuals.lower, 2)} to ${decimal(individuals.upper, 2)}`)}
          ${head("From the one before", individuals === null ? "no limit yet" : `up to ${decimal(individuals.rangeUpper, 2)}`)}
          ${head("Weighted mean", `\u00b1${decimal(limits.level, 1)}`)}
          ${head("Off its forecast", `\u00b1${decimal(limits.step, 1)} twice`)}
          ${head("Sum up", `up to ${decimal(cusumInterval, 1)}`)}
          ${head("Sum down", `up to ${decimal(cusumInterval, 1)}`)}
          ${head("Spread", `up to ${decimal(limits.scatter, 1)}`)}
        </tr>
      </thead>
      <tbody>
        ${[...points.keys()].reverse().map((i) => {
          const point = points[i]!;
          return html`
            <tr>
              <th scope="row">${date(point.day)}</th>
              ${number(`${signed(point.value, 2)} \u00b1 ${decimal(point.sd, 2)}`)}
              ${number(orDash(individuals?.points[i]?.range, 2))}
              ${number(signed(point.level, 1))}
              ${number(Number.isNaN(point.step) ? "\u2013" : signed(point.step, 1))}
              ${number(decimal(point.sumUp, 1))}
              ${number(decimal(point.sumDown, 1))}
              ${number(orDash(point.scatter, 1))}
            </tr>
          `;
        })}
      </tbody>
    </table>
  `;
}
