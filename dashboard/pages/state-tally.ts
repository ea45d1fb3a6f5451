import { html } from "htm/preact";
import { type FleetQuery, fleetAddress, type StateFilter } from "../page-models/fleet-query.ts";
import type { StateCounts } from "../page-models/sites.ts";
import { FILTER_LABEL } from "../wording/fleet.ts";
import { count } from "../wording/numbers.ts";
import { STATE_MEANING } from "../wording/states.ts";
import type { Html } from "./layout.ts";
import { sign } from "./sign.ts";

const STATES = ["out", "heading-out", "leaning", "steady", "unjudged"] as const;

/** How many units are in each state: the key to the signs, and the way to the units at once. */
export function stateTally(states: StateCounts, overdue: number, query: FleetQuery | null): Html {
  const total = STATES.reduce((sum, state) => sum + states[state], 0);
  const link = (state: StateFilter | null): { href: string; current: string | undefined } => ({
    href: fleetAddress({ ...query, state, page: 1 }),
    current: query !== null && query.state === state ? "true" : undefined,
  });
  const entry = (state: StateFilter | null, n: number, label: string, picture: Html, title: string): Html => {
    const { href, current } = link(state);
    return html`
      <li><a href=${href} aria-current=${current} title=${title}>${picture}<b>${count(n)}</b> ${label}</a></li>
    `;
  };
  return html`
    <ul class="tally">
      ${entry(null, total, "in all", null, "every unit")}
      ${STATES.filter((state) => states[state] > 0).map((state) =>
        entry(state, states[state], FILTER_LABEL[state], sign(state), STATE_MEANING[state]),
      )}
      ${overdue > 0 ? entry("overdue", overdue, FILTER_LABEL.overdue, null, "no check for longer than its use asks for") : null}
    </ul>
  `;
}
