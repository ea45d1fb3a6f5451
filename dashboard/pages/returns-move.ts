import { html } from "htm/preact";
import type { ChosenUnit, ReturnsPage } from "../page-models/returns.ts";
import { returnsAddress, returnsFields } from "../page-models/returns-query.ts";
import { date } from "../wording/dates.ts";
import { counted, percent } from "../wording/numbers.ts";
import { obstacleText, weekName } from "../wording/returns.ts";
import { weekChoiceText } from "../wording/returns-page.ts";
import { hiddenFields } from "./hidden-fields.ts";
import type { Html } from "./layout.ts";

/** The weeks of one unit to choose from, each with its risk and its room. */
export function moveForm({ row, weeks }: ChosenUnit, page: ReturnsPage): Html {
  const query = {
    ...page.query,
    unit: null,
    fixed: page.query.fixed.filter(({ instrument }) => instrument !== row.instrument),
  };
  const nameOf = (w: number) => weekName(weeks[w]?.week ?? "");
  return html`
    <section id="move" aria-labelledby="move-head">
      <h2 id="move-head">Move ${row.instrument}</h2>
      <p class="caption">Now: ${row.why}. Choose a week; the other units are planned round it.</p>
      <form action="/returns" method="get" class="move-form">
        ${hiddenFields(returnsFields(query))}
        <div class="scroll" tabindex="0" role="region" aria-label="Weeks to choose from">
          <table>
            <thead>
              <tr>
                <th scope="col">Week</th>
                <th scope="col">Out when it leaves</th>
                <th scope="col"><span class="unseen">The same as a bar</span></th>
                <th scope="col">Room</th>
                <th scope="col"><span class="unseen">Remark</span></th>
              </tr>
            </thead>
            <tbody>
              ${weeks.map((week) => {
                const id = `week-${week.week}`;
                return html`
                  <tr class=${week.isBooked ? "booked" : ""}>
                    <th scope="row">
                      <input type="radio" name="fix" id=${id} value=${`${row.instrument}@${week.week}`} checked=${week.isBooked} />
                      <label for=${id}>${weekName(week.week)}, ${date(week.leavesDay)}</label>
                    </th>
                    <td class="number">${week.risk === null ? "\u2013" : percent(week.risk)}</td>
                    <td class="weight">${week.risk === null ? null : riskBar(week.risk)}</td>
                    <td>${week.obstacle === null ? counted(week.free, "place") : obstacleText(week.obstacle, nameOf)}</td>
                    <td>${weekChoiceText(week)}</td>
                  </tr>
                `;
              })}
            </tbody>
          </table>
        </div>
        <p>
          <button type="submit">Move it there</button>
          ${" "}<a href=${returnsAddress({ ...page.query, unit: null })}>Leave it</a>
        </p>
      </form>
    </section>
  `;
}

function riskBar(risk: number): Html {
  return html`
    <svg viewBox="0 0 200 8" aria-hidden="true" focusable="false" preserveAspectRatio="none">
      <rect class="trough-bar" width="200" height="8" />
      <rect class="risk-bar" width=${Math.max(1, 200 * risk)} height="8" />
    </svg>
  `;
}
