import { html } from "htm/preact";
import type { BudgetCost } from "../../analysis/index.ts";
import { askerMayForAll } from "../access/person.ts";
import type { SettingRow, SettingsPage } from "../page-models/settings.ts";
import { GEOMETRY_FIELD } from "../setting-fields.ts";
import { date } from "../wording/dates.ts";
import { decimal, sentenceCase } from "../wording/numbers.ts";
import { changeText, fieldText, rangeText, SETTING_GROUPS, settingText } from "../wording/settings.ts";
import {
  changedText,
  DELAYS_CAPTION,
  HOW_KEPT,
  monthsText,
  REQUIREMENT_CAUTION,
  settingsHeadline,
} from "../wording/settings-page.ts";
import { figured } from "./figured.ts";
import { type Html, renderPage } from "./layout.ts";
import { settingsPreview } from "./settings-preview.ts";
import { toleranceWater } from "./tolerance-water.ts";

/** The rules in force, what others would do to the fleet, and how they came to be. */
export function renderSettings(page: SettingsPage): string {
  const sentence = settingsHeadline(page);
  return renderPage({
    title: sentence,
    place: "settings",
    figures: { json: "/settings?format=json", csv: "/settings?format=csv" },
    body: html`
      <h1>${sentence}</h1>
      <p class="rests-on">${HOW_KEPT}</p>
      ${page.refusal === null ? null : html`<p class="refusal" role="alert">${page.refusal}</p>`}
      ${page.proposal === null ? null : settingsPreview(page, page.proposal)}
      <form action="/settings#preview" method="get" class="settings">
        ${page.groups.map(({ group, rows }) => groupSection(page, group.id, rows))}
        ${
          askerMayForAll("read")
            ? html`
                <div class="ask">
                  <button type="submit">See what this would do</button>
                  <p>Nothing is kept by this; what it would do to the fleet is shown first.</p>
                </div>
              `
            : null
        }
      </form>
      ${listedSection(page)} ${historySection(page)}
      ${page.proposal === null ? html`<p class="caution">${REQUIREMENT_CAUTION}</p>` : null}
    `,
  });
}

function groupSection(page: SettingsPage, id: string, rows: readonly SettingRow[]): Html {
  const group = SETTING_GROUPS.find((one) => one.id === id)!;
  return html`
    <section id=${id} aria-labelledby=${`${id}-head`}>
      <h2 id=${`${id}-head`}>${group.title}</h2>
      <p class="caption">${group.text}${group.figured === undefined ? null : figured(group.figured)}</p>
      ${id === "tolerance" ? toleranceWater(page.settings, page.proposal?.settings ?? null) : null}
      <div class="rules">${rows.map((row) => ruleLine(page, row))}</div>
      ${id === "tolerance" ? geometrySection(page) : null}
      ${id === "alarms" && page.costs !== null ? delayTable(page.costs) : null}
    </section>
  `;
}

function ruleLine({ typed, proposal }: SettingsPage, row: SettingRow): Html {
  const { words, value } = row;
  const changed = changedText(row.changed);
  const about = `about-${words.path}`;
  const range = rangeText(words, row.range);
  return html`
    <div class=${proposal?.paths.includes(words.path) ? "rule proposed" : "rule"}>
      <label for=${words.path}>${words.label}</label>
      <div class="value">${field(row, typed.get(words.path) ?? fieldText(words, value), about)} ${words.unit}</div>
      <div class="about" id=${about}>
        <p>Default ${settingText(words, row.default)}${range === "" ? "" : `; ${range}`}. ${words.reason}</p>
        ${changed === null ? null : html`<p class="set">${changed}</p>`}
      </div>
    </div>
  `;
}

function field({ words, value }: SettingRow, text: string, about: string): Html {
  if (words.choices === undefined) {
    return html`<input id=${words.path} name=${words.path} value=${text} inputmode="decimal" autocomplete="off" required aria-describedby=${about} />`;
  }
  return html`
    <select id=${words.path} name=${words.path} aria-describedby=${about}>
      ${Object.entries(words.choices).map(([key, label]) => html`<option value=${key} selected=${key === (text === "" ? String(value) : text)}>${label}</option>`)}
    </select>
  `;
}

const SHARES = ["fluid_percent", "instrument_percent", "accessory_percent"] as const;

/** A geometry's own shares: empty ones follow the general rule. */
function geometrySection({ geometries, typed, settings }: SettingsPage): Html {
  if (geometries.length === 0) {
    return html`<p class="caption">No geometry is registered yet; once one is, it can have a tolerance of its own here.</p>`;
  }
  return html`
    <details open=${geometries.some(({ rule }) => rule !== undefined)}>
      <summary>Geometries with a tolerance of their own</summary>
      <p class="caption">What is left empty follows the general rule.</p>
      <div class="scroll" tabindex="0" role="region" aria-label="Tolerance by geometry">
        <table class="geometries">
          <thead>
            <tr>
              <th scope="col">Geometry</th>
              <th scope="col">Fluid, %</th>
              <th scope="col">Instrument, %</th>
              <th scope="col">Accessory, %</th>
            </tr>
          </thead>
          <tbody>
            ${geometries.map(
              ({ name, rule }) => html`
                <tr>
                  <th scope="row">${name}</th>
                  ${SHARES.map((share) => {
                    const place = `${GEOMETRY_FIELD}${name}.${share}`;
                    const own = rule?.[share];
                    return html`<td><input name=${place} aria-label=${`${name}, ${share.replace("_percent", ", %")}`} value=${typed.get(place) ?? own ?? ""} placeholder=${settings.tolerance[share]} inputmode="decimal" autocomplete="off" /></td>`;
                  })}
                </tr>
              `,
            )}
          </tbody>
        </table>
      </div>
    </details>
  `;
}

function delayTable(costs: readonly BudgetCost[]): Html {
  const { delays: heads } = costs[0]!;
  return html`
    <p class="caption">${DELAYS_CAPTION}${figured("false-alarms")}</p>
    <div class="scroll" tabindex="0" role="region" aria-label="What budgets of false alarms cost">
      <table class="delays">
        <thead>
          <tr>
            <th scope="col">False alarms a month</th>
            ${heads.map(({ what, sigma }) => html`<th scope="col" class="number">${sentenceCase(what)} of ${sigma} sigma</th>`)}
          </tr>
        </thead>
        <tbody>
          ${costs.map(
            ({ falseAlarmsPerMonth, factor, delays }) => html`
              <tr class=${factor === 1 ? "present" : ""}>
                <th scope="row">${decimal(falseAlarmsPerMonth, 1)}${factor === 1 ? html`<small>as set</small>` : null}</th>
                ${delays.map(({ checks, months }) => html`<td class="number">${decimal(checks, checks < 10 ? 1 : 0)}<small>${monthsText(months)}</small></td>`)}
              </tr>
            `,
          )}
        </tbody>
      </table>
    </div>
  `;
}

function listedSection({ listed }: SettingsPage): Html {
  return html`
    <section aria-labelledby="listed-head">
      <h2 id="listed-head">Lists</h2>
      <p class="caption">These are set by a file: <code>npx springtide settings --set FILE --by NAME --why REASON</code>.</p>
      <dl class="points">
        ${listed.map(
          ({ words, value, changed }) => html`
            <dt>${words.label}</dt>
            <dd>${sentenceCase(settingText(words, value))}. Default: ${words.reason.charAt(0).toLowerCase()}${words.reason.slice(1)}${changed === null ? null : html`<small>${changedText(changed)}</small>`}</dd>
          `,
        )}
      </dl>
    </section>
  `;
}

function historySection({ history }: SettingsPage): Html {
  return html`
    <section id="history" aria-labelledby="history-head">
      <h2 id="history-head">Changes</h2>
      ${history.length === 0 ? html`<p>None so far.</p>` : null}
      <ol class="decisions">
        ${history.map(
          (change) => html`
            <li>
              <b>${date(change.setOnDay)}</b>, ${change.by}: ${change.why ?? "no reason given"}
              ${Math.floor(change.heldFromDay) < Math.floor(change.setOnDay) ? html` (held since ${date(change.heldFromDay)})` : null}
              ${change.paths.map((path) => html`<small>${changeText(path, change.before, change.after)}</small>`)}
            </li>
          `,
        )}
      </ol>
    </section>
  `;
}
