import { html } from "htm/preact";
import type { UnitPage } from "../page-models/unit.ts";
import { judgementText } from "../wording/judgements.ts";
import type { Html } from "./layout.ts";

/** What people decided about the unit, newest first; nothing where nobody did. */
export function judgementsSection({ judgements }: UnitPage): Html {
  if (judgements.length === 0) return null;
  return html`
    <section id="notes" aria-labelledby="notes-head">
      <h2 id="notes-head">What people decided</h2>
      <ul>
        ${judgements.map((note) => html`<li>${judgementText(note)}</li>`)}
      </ul>
    </section>
  `;
}
