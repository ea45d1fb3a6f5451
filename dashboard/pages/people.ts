import { html } from "htm/preact";
import type { Account, ApiToken } from "../../ingest/index.ts";
import { ROLES } from "../access/roles.ts";
import { oneTimeText, peopleHeadline, ROLE_TEXT, SHOWN_ONCE, sitesText } from "../wording/accounts.ts";
import { date } from "../wording/dates.ts";
import { choiceField, sitesField, textField } from "./field.ts";
import { type Html, renderPage } from "./layout.ts";
import { tokenTable } from "./token-table.ts";

const ALL_SITES = "All, also those to come";

/** What was typed of a person, or what an account says. */
export type PersonTyped = Pick<Account, "name" | "role" | "sites"> & { readonly email: string };

export interface PeoplePage {
  readonly people: readonly Account[];
  /** Sites that units are registered at. */
  readonly sites: readonly string[];
  readonly typed: PersonTyped;
  readonly refusal: string | null;
}

/** Everybody who may sign in, and where another is added. */
export function renderPeople({ people, sites, typed, refusal }: PeoplePage): string {
  const disabled = people.filter(({ disabledAtMs }) => disabledAtMs !== null).length;
  const headline = peopleHeadline(people.length - disabled, disabled);
  return renderPage({
    title: refusal ?? headline,
    place: null,
    body: html`
      <h1>${headline}</h1>
      <div class="scroll" tabindex="0" role="region" aria-label="People">
        <table class="people">
          <thead>
            <tr><th scope="col">Name</th><th scope="col">Role</th><th scope="col">Sites</th><th scope="col">E-mail</th><th scope="col">Signs in</th></tr>
          </thead>
          <tbody>
            ${people.map(
              (one) => html`
                <tr>
                  <th scope="row"><a href=${`/people/${one.id}`}>${one.name}</a></th>
                  <td>${one.role}</td>
                  <td>${sitesText(one.sites)}</td>
                  <td>${one.email ?? ""}</td>
                  <td>${wayIn(one)}</td>
                </tr>
              `,
            )}
          </tbody>
        </table>
      </div>
      <section aria-labelledby="add-head">
        <h2 id="add-head">Add a person</h2>
        <p class="caption">A one-time password is shown once; the person chooses another with it.</p>
        ${refusal === null ? null : html`<p class="refusal" role="alert">${refusal}</p>`}
        <form action="/people" method="post" class="note-form account" novalidate>
          ${textField("name", "Name", { value: typed.name, required: true, maxlength: 100, autocomplete: "off" }, "As it is to stand beside notes and decisions; it is not changed later.")}
          ${emailField(typed.email)} ${roleField(typed.role)} ${sitesField(sites, typed.sites, ALL_SITES)}
          <p><button type="submit">Add</button></p>
        </form>
      </section>
    `,
  });
}

export interface PersonPage {
  readonly account: Account;
  readonly tokens: readonly ApiToken[];
  readonly nowMs: number;
  readonly sites: readonly string[];
  readonly refusal: string | null;
}

/** One person: what they may do, and whether they may at all. */
export function renderPerson({ account, tokens, nowMs, sites, refusal }: PersonPage): string {
  const { id, name, email, role, disabledAtMs } = account;
  const heading = `${name}: ${role}, ${sitesText(account.sites)}`;
  // A site at which no unit is registered any more can still be taken away.
  const choices = [...new Set([...sites, ...(account.sites ?? [])])];
  return renderPage({
    title: refusal ?? heading,
    place: null,
    body: html`
      <p class="path"><a href="/people">People</a></p>
      <h1>${heading}</h1>
      <p class="rests-on">Since ${date(account.madeAtMs / 86_400_000)}. Signs in: ${wayIn(account)}.</p>
      ${refusal === null ? null : html`<p class="refusal" role="alert">${refusal}</p>`}
      <form action=${`/people/${id}`} method="post" class="note-form account" novalidate>
        ${emailField(email ?? "")} ${roleField(role)} ${sitesField(choices, account.sites, ALL_SITES)}
        <p><button type="submit">Keep it</button> <a href="/people">Leave without keeping</a></p>
      </form>
      <section aria-labelledby="door-head">
        <h2 id="door-head">Signing in</h2>
        <p class="caption">A new one-time password signs the person out everywhere and lifts a lock after failed attempts.</p>
        ${oneButton(`/people/${id}/reset`, "Give a new one-time password")}
        ${
          disabledAtMs === null
            ? html`<p class="caption">Whoever is disabled is signed out at once, and their tokens stop; what they have done stays on record.</p>${oneButton(`/people/${id}/disable`, "Disable")}`
            : oneButton(`/people/${id}/enable`, "Let sign in again")
        }
      </section>
      ${
        tokens.length === 0
          ? null
          : html`
              <section aria-labelledby="tokens-head">
                <h2 id="tokens-head">Tokens</h2>
                ${tokenTable(tokens, `/people/${id}/tokens`, nowMs)}
              </section>
            `
      }
    `,
  });
}

/** A one-time password, this once. */
export function renderOneTime({ id, name }: Pick<Account, "id" | "name">, oneTime: string): string {
  return renderPage({
    title: `A one-time password for ${name}`,
    place: null,
    body: html`
      <p class="path"><a href="/people">People</a></p>
      <h1>A one-time password for ${name}</h1>
      <p class="secret"><code>${oneTime}</code></p>
      <p>${oneTimeText(name)} ${SHOWN_ONCE}</p>
      <p><a href=${`/people/${id}`}>Go to ${name}</a></p>
    `,
  });
}

function wayIn({ password, subject, disabledAtMs }: Account): string {
  if (disabledAtMs !== null) return `no longer, since ${date(disabledAtMs / 86_400_000)}`;
  const ways = [
    ...(password === null ? [] : [password.oneTimeUntilMs === null ? "password" : "one-time password"]),
    ...(subject === null ? [] : ["by the company"]),
  ];
  return ways.length === 0 ? "by the company, not yet" : ways.join(", ");
}

function emailField(email: string): Html {
  return textField(
    "email",
    "E-mail address",
    { value: email, type: "email", autocomplete: "off" },
    "Where there is one: for notices, and by which the company\u2019s sign-in is matched at first.",
  );
}

function roleField(role: string): Html {
  return choiceField(
    "role",
    "Role",
    ROLES.map((one) => ({ value: one, label: one, about: ROLE_TEXT[one] })),
    role,
  );
}

function oneButton(action: string, text: string): Html {
  return html`<form action=${action} method="post" class="one-button"><button type="submit">${text}</button></form>`;
}
