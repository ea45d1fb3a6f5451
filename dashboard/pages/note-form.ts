import { html } from "htm/preact";
import { askerMay, whoAsks } from "../access/person.ts";
import type { StandingJudgement } from "../assessment/judgements.ts";
import type { NoteForm, NoteTrouble } from "../page-models/note-form.ts";
import { noteAddress } from "../page-models/note-form.ts";
import { judgementText } from "../wording/judgements.ts";
import {
  CAN_BE_UNDONE,
  earlierDayText,
  NOTE_FOLLOWS,
  noteHeading,
  troubleText,
  WHY_LABEL,
} from "../wording/note-form.ts";
import { decimal, signed, THIN } from "../wording/numbers.ts";
import { hiddenFields } from "./hidden-fields.ts";
import { type Html, renderPage } from "./layout.ts";

/** Where a person writes one note on a unit; with what is amiss where it was sent and could not be kept. */
export function renderNoteForm(form: NoteForm): string {
  const { instrument, kind, check, on, trouble, asOf } = form;
  const unit = `/units/${encodeURIComponent(instrument)}`;
  const heading = noteHeading(form);
  return renderPage({
    title: trouble === null ? heading : `${troubleText(trouble)} ${heading}`,
    place: "units",
    body: html`
      <p class="path"><a href=${unit}>${instrument}</a></p>
      <h1>${heading}</h1>
      <p class="rests-on">${NOTE_FOLLOWS[kind]} ${CAN_BE_UNDONE}</p>
      ${form.isOfEarlierDay ? html`<p class="earlier-day">${earlierDayText(asOf)}</p>` : null}
      <form action=${`${unit}/notes`} method="post" class="note-form" novalidate>
        ${hiddenFields([["kind", kind], ...(check === null ? [] : ([["at", String(check.atMs)]] as const))])}
        ${check === null ? dayField(on, asOf, trouble) : whichReading(form)}
        ${whyField(WHY_LABEL[kind], form.why, trouble)} ${byField(form.by, trouble)}
        <p><button type="submit">Keep it</button> <a href=${unit}>Leave without keeping</a></p>
      </form>
    `,
  });
}

/** One note, and the form that takes it back. */
export function renderNote(
  note: StandingJudgement,
  why: string,
  by: string,
  trouble: NoteTrouble | null,
): string {
  const unit = `/units/${encodeURIComponent(note.instrument)}`;
  const heading = note.undoneBy === null ? "Take this note back" : "This note was taken back";
  return renderPage({
    title: `${trouble === null ? "" : `${troubleText(trouble)} `}${heading}: ${note.instrument}`,
    place: "units",
    body: html`
      <p class="path"><a href=${`${unit}#notes`}>${note.instrument}</a></p>
      <h1>${heading}</h1>
      <p class="said">${judgementText(note)}</p>
      ${
        note.undoneBy !== null || !askerMay("judge")
          ? null
          : html`
              <p class="rests-on">Figures follow as if it had not been made. Both stay on record.</p>
              <form action=${noteAddress(note.instrument, note.id)} method="post" class="note-form" novalidate>
                ${whyField("Reason", why, trouble)} ${byField(by, trouble)}
                <p><button type="submit">Take it back</button> <a href=${`${unit}#notes`}>Leave it as it is</a></p>
              </form>
            `
      }
    `,
  });
}

function whichReading({ check, speed }: NoteForm): Html {
  const choice = (value: string, text: string): Html => html`
    <label><input type="radio" name="speed" value=${value} checked=${value === speed} /> ${text}</label>
  `;
  return html`
    <fieldset>
      <legend>What is meant</legend>
      ${choice("", "the whole check")}
      ${check!.readings.map(({ speedRpm, torque, errorOverTolerance }) =>
        choice(
          String(speedRpm),
          `only the reading at ${decimal(speedRpm, Number.isInteger(speedRpm) ? 0 : 1)} min\u207b\u00b9 (${decimal(torque, 0)}${THIN}% torque, ${signed(errorOverTolerance, 2)} of tolerance)`,
        ),
      )}
    </fieldset>
  `;
}

function dayField(on: string, asOf: string, trouble: NoteTrouble | null): Html {
  return field(
    "on",
    `Day it is about`,
    trouble,
    (more) =>
      html`<input id="on" name="on" type="date" value=${on} max=${asOf} placeholder="2026-03-31" ...${more} />`,
  );
}

export function whyField(label: string, value: string, trouble: NoteTrouble | null): Html {
  return field(
    "why",
    label,
    trouble,
    (more) => html`<textarea id="why" name="why" rows="3" maxlength="2000" ...${more}>${value}</textarea>`,
  );
}

export function byField(value: string, trouble: NoteTrouble | null): Html {
  if (whoAsks().name !== null) return null;
  return field(
    "by",
    "Who decides",
    trouble,
    (more) =>
      html`<input id="by" name="by" value=${value} autocomplete="name" maxlength="2000" ...${more} />`,
  );
}

/** A field with its name and, where it is the one amiss, what is amiss: focus goes there. */
function field(
  name: NoteTrouble["field"],
  label: string,
  trouble: NoteTrouble | null,
  control: (more: Readonly<Record<string, string | boolean>>) => Html,
): Html {
  const amiss = trouble?.field === name ? troubleText(trouble) : null;
  const more =
    amiss === null ? {} : { "aria-invalid": "true", "aria-describedby": `${name}-amiss`, autofocus: true };
  return html`
    <div class="field">
      <label for=${name}>${label}</label>
      ${control({ required: true, ...more })}
      ${amiss === null ? null : html`<p class="amiss" id=${`${name}-amiss`}>${amiss}</p>`}
    </div>
  `;
}
