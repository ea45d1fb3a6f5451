import { html } from "htm/preact";
import { PASSWORD_RULE } from "../wording/accounts.ts";
import { textField } from "./field.ts";
import { hiddenFields } from "./hidden-fields.ts";
import { type Html, renderPage } from "./layout.ts";

/** What the page of the sign-in needs. */
export interface SignInPage {
  /** Where to go afterwards. */
  readonly next: string;
  /** As it was typed. */
  readonly name: string;
  /** What stood against it; null at first. */
  readonly refusal: string | null;
}

/** Where people sign in. */
export function renderSignIn(page: SignInPage, hasCompany: boolean): string {
  const { next, name, refusal } = page;
  return renderPage({
    title: refusal ?? "Sign in",
    place: null,
    bare: true,
    body: html`
      <h1>Sign in</h1>
      ${refused(refusal)}
      ${
        hasCompany
          ? html`
              <p class="ways-in"><a class="button" href=${`/sign-in/company?next=${encodeURIComponent(next)}`}>Sign in by the company</a></p>
              <h2>Or with a name and a password kept here</h2>
            `
          : null
      }
      <form action="/sign-in" method="post" class="note-form account" novalidate>
        ${hiddenFields([["next", next]])}
        ${textField("name", "Name", { value: name, autocomplete: "username", required: true, autocapitalize: "none", spellcheck: "false" })}
        ${textField("password", "Password", { type: "password", autocomplete: "current-password", required: true })}
        <p><button type="submit">Sign in</button></p>
      </form>
      <p>With a one-time password, or to change yours: <a href="/sign-in/password">choose a password</a>. Where it is lost, an administrator gives you another.</p>
    `,
  });
}

/** Where a password of one's own takes the place of a one-time one, or of the present one. */
export function renderChoosePassword({ name, refusal }: Pick<SignInPage, "name" | "refusal">): string {
  return renderPage({
    title: refusal ?? "Choose a password",
    place: null,
    bare: true,
    body: html`
      <p class="path"><a href="/sign-in">Sign in</a></p>
      <h1>Choose a password</h1>
      <p class="rests-on">Wherever you are signed in now, you will be signed out.</p>
      ${refused(refusal)}
      <form action="/sign-in/password" method="post" class="note-form account" novalidate>
        ${textField("name", "Name", { value: name, autocomplete: "username", required: true, autocapitalize: "none", spellcheck: "false" })}
        ${textField("password", "Present or one-time password", { type: "password", autocomplete: "current-password", required: true })}
        ${textField("chosen", "New password", { type: "password", autocomplete: "new-password", required: true }, PASSWORD_RULE)}
        ${textField("again", "New password once more", { type: "password", autocomplete: "new-password", required: true })}
        <p><button type="submit">Take it and sign in</button></p>
      </form>
    `,
  });
}

function refused(refusal: string | null): Html {
  return refusal === null ? null : html`<p class="refusal" role="alert">${refusal}</p>`;
}
