import { html } from "htm/preact";
import { fleetAddress } from "../page-models/fleet-query.ts";
import type { SiteRow, StateCounts } from "../page-models/sites.ts";
import { bathText, checksOnTimeText, scatterText, siteStates } from "../wording/fleet.ts";
import { counted } from "../wording/numbers.ts";
import { figured } from "./figured.ts";
import type { Html } from "./layout.ts";

const STATES = ["out", "heading-out", "leaning", "steady", "unjudged"] as const;
const BAR_WIDTH = 300;
const GAP = 1.5;

/** Sites side by side: units by state as a bar, checks done on time, and the bath. */
export function siteTable(sites: readonly SiteRow[]): Html {
  const most = Math.max(1, ...sites.map((site) => site.units));
  return html`
    <table class="sites" role="table">
      <caption class="unseen">Sites: units by state, checks made on time, scatter between checks, error of the bath</caption>
      <thead role="rowgroup">
        <tr role="row">
          <th scope="col" role="columnheader">Site</th>
          <th scope="col" role="columnheader">Its units</th>
          <th scope="col" role="columnheader" class="number">Checks on time${figured("checks-on-time")}</th>
          <th scope="col" role="columnheader" class="number">Scatter${figured("site-scatter")}</th>
          <th scope="col" role="columnheader" class="number">Bath${figured("bath")}</th>
        </tr>
      </thead>
      <tbody role="rowgroup">
        ${sites.map(
          (site) => html`
            <tr role="row">
              <th scope="row" role="rowheader">
                <a href=${fleetAddress({ site: site.site })}>${site.site}</a>
                <small>${counted(site.units, "unit")}</small>
              </th>
              <td role="cell">${stateBar(site.states, site.units, most)}<small>${siteStates(site)}</small></td>
              <td role="cell" class=${site.behind ? "number behind" : "number"}>${checksOnTimeText(site)}</td>
              <td role="cell" class="number">${scatterText(site)}</td>
              <td role="cell" class="number">${bathText(site)}</td>
            </tr>
          `,
        )}
      </tbody>
    </table>
  `;
}

/** The words below the bar say the same, so that it needs no text of its own. */
export function stateBar(states: StateCounts, units: number, most: number): Html {
  const scale = BAR_WIDTH / most;
  let x = 0;
  const parts = STATES.filter((state) => states[state] > 0).map((state) => {
    const width = states[state] * scale;
    const part = html`<rect class=${state} x=${x} width=${Math.max(1, width - GAP)} height="8" rx="1" />`;
    x += width;
    return part;
  });
  return units === 0
    ? null
    : html`<svg class="bar" viewBox=${`0 0 ${BAR_WIDTH} 8`} aria-hidden="true" focusable="false">${parts}</svg>`;
}
