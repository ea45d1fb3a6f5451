import { html } from "htm/preact";
import type { KeepForm } from "../page-models/keep-form.ts";
import { troubleText } from "../wording/note-form.ts";
import { weekName } from "../wording/returns.ts";
import { KEPT_FOLLOWS, keepHeading, RELEASED_FOLLOWS } from "../wording/returns-page.ts";
import { hiddenFields } from "./hidden-fields.ts";
import { renderPage } from "./layout.ts";
import { byField, whyField } from "./note-form.ts";

/** Where weeks are kept for units, or units left to the plan again, with who and why. */
export function renderKeepForm(form: KeepForm): string {
  const { kept, released, why, by, trouble } = form;
  const heading = keepHeading(form);
  const fields = [
    ...kept.map(({ instrument, week }): [string, string] => ["fix", `${instrument}@${week}`]),
    ...released.map((instrument): [string, string] => ["release", instrument]),
  ];
  return renderPage({
    title: trouble === null ? heading : `${troubleText(trouble)} ${heading}`,
    place: "returns",
    body: html`
      <p class="path"><a href="/returns">Returns</a></p>
      <h1>${heading}</h1>
      <p class="rests-on">${released.length > 0 ? RELEASED_FOLLOWS : KEPT_FOLLOWS}</p>
      <ul>
        ${kept.map(({ instrument, week }) => html`<li>${instrument}: ${weekName(week)}</li>`)}
        ${released.map((instrument) => html`<li>${instrument}</li>`)}
      </ul>
      <form action="/returns/keep" method="post" class="note-form" novalidate>
        ${hiddenFields(fields)} ${whyField("Reason", why, trouble)} ${byField(by, trouble)}
        <p><button type="submit">${released.length > 0 ? "Leave to the plan" : "Keep"}</button> <a href="/returns">Leave without keeping</a></p>
      </form>
    `,
  });
}
