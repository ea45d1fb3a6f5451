import { html } from "htm/preact";
import { SERVICE_ACTIONS } from "../../ingest/index.ts";
import { whoAsks } from "../access/person.ts";
import type { ReturnForm } from "../page-models/return-form.ts";
import { ACTION_TEXT, RETURN_FOLLOWS, RETURN_HEADING, returnFaultText } from "../wording/return-form.ts";
import { choiceField, textField } from "./field.ts";
import { renderPage } from "./layout.ts";

/** Where one return from service is recorded. */
export function renderReturnForm({ instrument, servicedAt, action, by, fault }: ReturnForm): string {
  return renderPage({
    title: fault === null ? RETURN_HEADING : returnFaultText(fault),
    place: "returns",
    body: html`
      <p class="path"><a href="/returns">Returns</a></p>
      <h1>${RETURN_HEADING}</h1>
      <p class="rests-on">${RETURN_FOLLOWS}</p>
      ${fault === null ? null : html`<p class="refusal" role="alert">${returnFaultText(fault)}</p>`}
      <form action="/returns/record" method="post" class="note-form account" novalidate>
        ${textField("unit", "Unit", { value: instrument, required: true, maxlength: 200, autocomplete: "off" })}
        ${textField("day", "Day of the service", { value: servicedAt, type: "date", required: true, placeholder: "2026-03-31" })}
        ${choiceField(
          "action",
          "What was done",
          SERVICE_ACTIONS.map((value) => ({ value, label: value, about: ACTION_TEXT[value] })),
          action,
        )}
        ${whoAsks().name !== null ? null : textField("by", "Who records it", { value: by, required: true, maxlength: 100, autocomplete: "name" })}
        <p><button type="submit">Record it</button> <a href="/returns">Leave without recording</a></p>
      </form>
    `,
  });
}
