import { html } from "htm/preact";
import type { ReturnsPage } from "../page-models/returns.ts";
import { otherWeeksText, returnsAddress, returnsFields } from "../page-models/returns-query.ts";
import { comparisonName, OUTCOME_HEADS, outcomeTexts, WHAT_IF_CAPTION } from "../wording/returns-page.ts";
import { hiddenFields } from "./hidden-fields.ts";
import type { Html } from "./layout.ts";

const OWN_FIELDS = ["capacity", "spare", "target", "closed"];

/** The rules of this plan, to be changed. */
export function rulesForm({ query, rules }: ReturnsPage): Html {
  return html`
    <form action="/returns" method="get" class="rules-form">
      ${hiddenFields(returnsFields(query).filter(([name]) => !OWN_FIELDS.includes(name)))}
      ${numberField("capacity", "Units a week", query.capacity ?? rules.capacity, "as in the settings")}
      ${numberField("spare", "Away from a site", query.spare, `${rules.sparePercent}\u202f%`)}
      ${targetField("target", query.targetPercent ?? rules.targetPercent)}
      <div>
        <label for="closed">Closed and other weeks</label>
        <input id="closed" name="closed" value=${otherWeeksText(query)} placeholder="2026-W52, 2026-W32=2" autocomplete="off" />
      </div>
      <button type="submit">Plan</button>
    </form>
  `;
}

function numberField(name: string, label: string, value: number | null, otherwise: string): Html {
  return html`
    <div>
      <label for=${name}>${label}</label>
      <input id=${name} name=${name} type="number" min="1" max="9999" value=${value ?? ""} placeholder=${otherwise} />
    </div>
  `;
}

function targetField(name: string, value: number | null): Html {
  return html`
    <div>
      <label for=${name}>In tolerance at return, %</label>
      <input id=${name} name=${name} type="number" min="51" max="99.9" step="any" value=${value ?? ""} placeholder="as in this plan" />
    </div>
  `;
}

/** Other rules beside this plan's, each in a row. */
export function whatIf(page: ReturnsPage): Html {
  const { comparisons, query, rules, plan } = page;
  return html`
    <section id="what-if" aria-labelledby="what-if-head">
      <h2 id="what-if-head">What if</h2>
      <p class="caption">${WHAT_IF_CAPTION}</p>
      <div class="scroll" tabindex="0" role="region" aria-label="Plans compared">
        <table class="what-if">
          <thead>
            <tr>
              <th scope="col">Rules</th>
              ${OUTCOME_HEADS.map((head) => html`<th scope="col" class="number">${head}</th>`)}
            </tr>
          </thead>
          <tbody>
            ${comparisons.map(
              (comparison) => html`
                <tr class=${comparison.name}>
                  <th scope="row">${comparisonName(comparison, rules)}</th>
                  ${outcomeTexts(comparison.outcome, comparison.overtimeWeeks, plan.units.length).map(
                    (text) => html`<td class="number">${text}</td>`,
                  )}
                </tr>
              `,
            )}
          </tbody>
        </table>
      </div>
      <form action="/returns#what-if" method="get" class="rules-form">
        ${hiddenFields(returnsFields({ ...query, unit: null }))}
        ${numberField("beside-capacity", "Units a week", null, "as in this plan")}
        ${numberField("beside-spare", "Away from a site", null, "as in this plan")}
        ${targetField("beside-target", null)}
        <button type="submit">Hold beside it</button>
        ${query.against.length === 0 ? null : html`<a href=${`${returnsAddress({ ...query, against: [] })}#what-if`}>Clear</a>`}
      </form>
    </section>
  `;
}
