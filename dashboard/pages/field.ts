import { html } from "htm/preact";
import type { Html } from "./layout.ts";

/** What a field is beside its name: a type, what a browser may fill in, and so on. */
export type FieldParts = Readonly<Record<string, string | number | boolean>>;

/** One line of a form: what is asked for, the field, and what is to be known about it. */
export function textField(name: string, label: string, parts: FieldParts, about: string | null = null): Html {
  return html`
    <div class="field">
      <label for=${name}>${label}</label>
      <input id=${name} name=${name} ...${about === null ? {} : { "aria-describedby": `${name}-about` }} ...${parts} />
      ${about === null ? null : html`<p class="about" id=${`${name}-about`}>${about}</p>`}
    </div>
  `;
}

/** One of several, each told in words. */
export function choiceField(
  name: string,
  legend: string,
  choices: readonly { readonly value: string; readonly label: string; readonly about?: string }[],
  chosen: string,
): Html {
  return html`
    <fieldset>
      <legend>${legend}</legend>
      ${choices.map(
        ({ value, label, about }) => html`
          <label><input type="radio" name=${name} value=${value} checked=${value === chosen} required /><span>${label}${about === undefined ? null : html` <span class="about">${about}</span>`}</span></label>
        `,
      )}
    </fieldset>
  `;
}

/**
 * Which sites: all of them, or those that are ticked.
 *
 * @param sites To choose from.
 * @param chosen null: all of them.
 * @param all How all of them are called.
 */
export function sitesField(sites: readonly string[], chosen: readonly string[] | null, all: string): Html {
  return html`
    <fieldset class="sites">
      <legend>Sites</legend>
      <label><input type="checkbox" name="all" value="yes" checked=${chosen === null} /><span>${all}</span></label>
      ${sites.map(
        (site) => html`
          <label><input type="checkbox" name="site" value=${site} checked=${chosen?.includes(site) === true} /><span>${site}</span></label>
        `,
      )}
    </fieldset>
  `;
}
