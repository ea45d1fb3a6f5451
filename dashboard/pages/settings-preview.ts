import { html } from "htm/preact";
import { askerMayForAll } from "../access/person.ts";
import type { PreviewSide } from "../assessment/settings-preview.ts";
import type { SettingsPage, SettingsProposal } from "../page-models/settings.ts";
import { count, percent } from "../wording/numbers.ts";
import { changeText } from "../wording/settings.ts";
import {
  movesTexts,
  otherEffects,
  previewHeadline,
  REQUIREMENT_CAUTION,
  sideText,
  verdictsText,
} from "../wording/settings-page.ts";
import { STATE_LABEL } from "../wording/states.ts";
import { decisionFields } from "./held-row.ts";
import { hiddenFields } from "./hidden-fields.ts";
import type { Html } from "./layout.ts";
import { sign } from "./sign.ts";
import { stateBar } from "./site-table.ts";

const MOST_NAMED = 12;

/** What a proposal would do, and the way to keep it. */
export function settingsPreview(page: SettingsPage, { paths, preview, settings }: SettingsProposal): Html {
  const others = otherEffects(preview);
  const { changed } = preview;
  return html`
    <section id="preview" class="preview" aria-labelledby="preview-head">
      <h2 id="preview-head">${previewHeadline(preview)}</h2>
      <ul class="asked">${paths.map((path) => html`<li>${changeText(path, page.settings, settings)}</li>`)}</ul>
      <table class="sides">
        <caption class="unseen">Units by state, now and under this change</caption>
        <tbody>
          ${side("Now", preview.present, preview.units)} ${side("Under this change", preview.proposed, preview.units)}
        </tbody>
      </table>
      <p>${verdictsText(preview)}</p>
      ${others.length === 0 ? null : html`<p>${others.join(" ")}</p>`}
      ${
        changed.length === 0
          ? null
          : html`
              <p>${movesTexts(preview).join("; ")}.</p>
              <table class="moves">
                <caption class="unseen">Units whose state would change, likeliest to leave tolerance first</caption>
                <thead><tr><th scope="col">Unit</th><th scope="col">Now</th><th scope="col">Under this change</th></tr></thead>
                <tbody>
                  ${changed.slice(0, MOST_NAMED).map(
                    ({ instrument, site, from, to, presentChance, proposedChance }) => html`
                      <tr>
                        <th scope="row"><a href=${`/units/${encodeURIComponent(instrument)}`}>${instrument}</a><small>${site}</small></th>
                        <td class=${from}>${sign(from)} ${STATE_LABEL[from]}<small>${presentChance === null ? null : percent(presentChance)}</small></td>
                        <td class=${to}>${sign(to)} ${STATE_LABEL[to]}<small>${proposedChance === null ? null : percent(proposedChance)}</small></td>
                      </tr>
                    `,
                  )}
                </tbody>
              </table>
              ${changed.length > MOST_NAMED ? html`<p>And ${count(changed.length - MOST_NAMED)} more.</p>` : null}
            `
      }
      <p class="caution">${REQUIREMENT_CAUTION}</p>
      ${keepForm(page)}
    </section>
  `;
}

function side(label: string, { states }: PreviewSide, units: number): Html {
  return html`
    <tr>
      <th scope="row">${label}</th>
      <td>${stateBar(states, units, units)}<small>${sideText({ states } as PreviewSide)}</small></td>
    </tr>
  `;
}

function keepForm({ typed, changes, mayDateBack }: SettingsPage): Html {
  if (!askerMayForAll("govern")) return null;
  return html`
    <form action="/settings" method="post" class="decide">
      ${hiddenFields([...typed])}
      <input type="hidden" name="changes" value=${changes} />
      ${decisionFields("keep-")}
      ${
        mayDateBack
          ? html`
              <div>
                <label for="from">Held since (only now, for the first settings)</label>
                <input id="from" name="from" type="date" />
              </div>
            `
          : null
      }
      <button type="submit">Keep it, from now on</button>
      <a href="/settings">Leave all as it is</a>
    </form>
  `;
}
