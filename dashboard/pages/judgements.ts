import { html } from "htm/preact";
import { askerMay } from "../access/person.ts";
import type { StandingJudgement } from "../assessment/judgements.ts";
import { noteAddress, noteFormAddress } from "../page-models/note-form.ts";
import type { UnitPage } from "../page-models/unit.ts";
import { judgementText } from "../wording/judgements.ts";
import type { Html } from "./layout.ts";

/** What people decided about the unit, newest first, and where more is decided. */
export function judgementsSection({ judgements, instrument }: UnitPage): Html {
  return html`
    <section id="notes" aria-labelledby="notes-head">
      <h2 id="notes-head">What people decided</h2>
      ${
        judgements.length === 0
          ? html`<p class="caption">Nobody has noted anything on this unit yet.</p>`
          : html`<ul class="plain notes">${judgements.map(noteLine)}</ul>`
      }
      ${askerMay("judge") ? waysToNote(instrument) : null}
    </section>
  `;
}

function waysToNote(instrument: string): Html {
  return html`
      <p class="more">
        <a href=${noteFormAddress(instrument, "remark")}>Write a remark</a>
        <a href=${noteFormAddress(instrument, "step-cause")}>Settle what a step came from</a>
        <a href=${noteFormAddress(instrument, "baseline")}>Fit its limits anew</a>
        <span>A check is set aside from the table of checks.</span>
      </p>
  `;
}

function noteLine(note: StandingJudgement): Html {
  return html`
    <li id=${`note-${note.id}`} tabindex="-1" class=${note.undoneBy === null ? "" : "taken-back"}>
      ${judgementText(note)}
      ${note.undoneBy === null && askerMay("judge") ? html` <a href=${noteAddress(note.instrument, note.id)}>take back<span class="unseen"> note ${note.id}</span></a>` : null}
    </li>
  `;
}
