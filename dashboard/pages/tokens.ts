import { html } from "htm/preact";
import type { ApiToken } from "../../ingest/index.ts";
import type { Role } from "../access/roles.ts";
import { isValid } from "../accounts/tokens.ts";
import { ROLE_TEXT, SHOWN_ONCE, TOKENS_FOLLOW, tokensHeadline } from "../wording/accounts.ts";
import { choiceField, sitesField, textField } from "./field.ts";
import { renderPage } from "./layout.ts";
import { tokenTable } from "./token-table.ts";

export interface TokenTyped {
  readonly label: string;
  readonly role: string;
  /** null: all that the person sees. */
  readonly sites: readonly string[] | null;
  /** An ISO day. */
  readonly ends: string;
}

export interface TokensPage {
  readonly tokens: readonly ApiToken[];
  /** What a token of this person may be. */
  readonly roles: readonly Role[];
  /** Sites to choose from. */
  readonly sites: readonly string[];
  readonly typed: TokenTyped;
  /** The first and the last day on which a token made now may end. */
  readonly earliest: string;
  readonly latest: string;
  readonly nowMs: number;
  readonly refusal: string | null;
}

/** A person's own tokens, and where another is made. */
export function renderTokens(page: TokensPage): string {
  const { tokens, roles, sites, typed, refusal, nowMs } = page;
  const headline = tokensHeadline(tokens.filter((token) => isValid(token, nowMs)).length);
  return renderPage({
    title: refusal ?? headline,
    place: null,
    body: html`
      <h1>${headline}</h1>
      <p class="rests-on">${TOKENS_FOLLOW}</p>
      ${tokens.length === 0 ? null : tokenTable(tokens, "/tokens", nowMs)}
      <section aria-labelledby="make-head">
        <h2 id="make-head">Make a token</h2>
        ${refusal === null ? null : html`<p class="refusal" role="alert">${refusal}</p>`}
        <form action="/tokens" method="post" class="note-form account" novalidate>
          ${textField("label", "What it is for", { value: typed.label, required: true, maxlength: 100, autocomplete: "off" })}
          ${choiceField(
            "role",
            "What it may do",
            roles.map((role) => ({
              value: role,
              label: `as a ${role}`.replace("a e", "an e"),
              about: ROLE_TEXT[role],
            })),
            typed.role,
          )}
          ${sites.length === 0 ? null : sitesField(sites, typed.sites, "All that I see")}
          ${textField("ends", "Last day", { value: typed.ends, type: "date", min: page.earliest, max: page.latest, required: true }, "A year from now at the latest.")}
          <p><button type="submit">Make it</button></p>
        </form>
      </section>
    `,
  });
}

/** A token, this once. */
export function renderNewToken(label: string, secret: string): string {
  return renderPage({
    title: `The token for ${label}`,
    place: null,
    body: html`
      <p class="path"><a href="/tokens">Your tokens</a></p>
      <h1>The token for ${label}</h1>
      <p class="secret"><code>${secret}</code></p>
      <p>${SHOWN_ONCE} Whoever has it can use it: keep it where its program keeps its passwords.</p>
    `,
  });
}
