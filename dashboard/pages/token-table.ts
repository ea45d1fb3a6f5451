import { html } from "htm/preact";
import type { ApiToken } from "../../ingest/index.ts";
import { isValid } from "../accounts/tokens.ts";
import { sitesText } from "../wording/accounts.ts";
import { date } from "../wording/dates.ts";
import type { Html } from "./layout.ts";

/**
 * Tokens of one person, with a button for each that still lets a program in.
 *
 * @param at Below which address they are revoked.
 */
export function tokenTable(tokens: readonly ApiToken[], at: string, nowMs: number): Html {
  return html`
    <div class="scroll" tabindex="0" role="region" aria-label="Tokens">
      <table class="people">
        <thead>
          <tr><th scope="col">For</th><th scope="col">May do</th><th scope="col">Sites</th><th scope="col">Made</th><th scope="col">Ends</th></tr>
        </thead>
        <tbody>
          ${tokens.map(
            (token) => html`
              <tr>
                <th scope="row">${token.label}</th>
                <td>as ${token.role}</td>
                <td>${sitesText(token.sites)}</td>
                <td>${date(token.madeAtMs / 86_400_000)}</td>
                <td>${ending(token, at, nowMs)}</td>
              </tr>
            `,
          )}
        </tbody>
      </table>
    </div>
  `;
}

function ending(token: ApiToken, at: string, nowMs: number): Html {
  const { id, label, revokedAtMs, endsAtMs } = token;
  if (revokedAtMs !== null) return `revoked ${date(revokedAtMs / 86_400_000)}`;
  // It ends with its last day.
  const lastDay = date((endsAtMs - 1) / 86_400_000);
  if (!isValid(token, nowMs)) return `ended ${lastDay}`;
  return html`
    with ${lastDay}
    <form action=${`${at}/${id}/revoke`} method="post" class="one-button"><button type="submit" aria-label=${`Revoke the token for ${label}`}>Revoke</button></form>
  `;
}
