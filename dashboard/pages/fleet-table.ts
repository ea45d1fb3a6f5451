import { html } from "htm/preact";
import { type FleetQuery, fleetAddress, type SortKey } from "../page-models/fleet-query.ts";
import type { UnitRow } from "../page-models/unit-row.ts";
import { chanceText, dueText, lastCheckText, whereAndHowUsed, whereItLeaves } from "../wording/fleet.ts";
import { NEXT_STEP } from "../wording/next-steps.ts";
import { STATE_LABEL } from "../wording/states.ts";
import { figured } from "./figured.ts";
import { lanePicture } from "./lane-picture.ts";
import type { Html } from "./layout.ts";
import { sign } from "./sign.ts";

export interface FleetTableParts {
  readonly rows: readonly UnitRow[];
  readonly asOfDay: number;
  readonly caption: string;
  /** What the address asks for, where the heads of the columns sort; null where they do not. */
  readonly query: FleetQuery | null;
}

/** The table made for the fleet: who, where it stands, how likely, where and what, when, what to do. */
export function fleetTable({ rows, asOfDay, caption, query }: FleetTableParts): Html {
  const head = (...entries: readonly HeadEntry[]): Html => columnHead(query, entries);
  // Roles are spelt out because narrow screens lay the rows out as blocks, which would drop them.
  return html`
    <table class=${query === null ? "fleet" : "fleet sortable"} role="table">
      <caption class="unseen">${caption}</caption>
      <thead role="rowgroup">
        <tr role="row">
          ${head(["Unit", "unit"], ["site", "site"])}
          <th scope="col" role="columnheader" class="lanes-head">
            <span>− tolerance</span><span>today <span aria-hidden="true">→</span> at service</span><span>+ tolerance</span>
          </th>
          ${columnHead(query, [["Leaves tolerance", "chance"]], "leaves-tolerance")}
          ${columnHead(query, [["Where", null]], "stands-today")}
          ${head(["Service due", "due"])}
          ${head(["Next step", null], ["last check", "checked"])}
        </tr>
      </thead>
      <tbody role="rowgroup">
        ${rows.map((row) => fleetRow(row, asOfDay))}
      </tbody>
    </table>
  `;
}

type HeadEntry = readonly [text: string, key: SortKey | null];

/** The head of a column; each name that sorts is a link, and the one in force turns the order round. */
function columnHead(
  query: FleetQuery | null,
  entries: readonly HeadEntry[],
  figure: string | null = null,
): Html {
  const names = entries.map(([text, key], i) => {
    const before = i === 0 ? "" : ", ";
    if (query === null || key === null) return html`${before}${text}`;
    const inForce = query.sort === key;
    const href = fleetAddress({ ...query, sort: key, turned: inForce && !query.turned, page: 1 });
    const mark = html`<span aria-hidden="true">${isDescending(query) ? " ↓" : " ↑"}</span>`;
    return html`${before}<a href=${href} class=${inForce ? "in-force" : undefined}>${text}${inForce ? mark : null}</a>`;
  });
  const sorted = query !== null && entries.some(([, key]) => key === query.sort);
  const direction = query !== null && isDescending(query) ? "descending" : "ascending";
  return html`<th scope="col" role="columnheader" aria-sort=${sorted ? direction : undefined}>${names}${figure === null ? null : figured(figure)}</th>`;
}

/** The likeliest stand first unless turned round; all other columns begin with the least. */
function isDescending({ sort, turned }: FleetQuery): boolean {
  return (sort === "chance") !== turned;
}

function fleetRow(row: UnitRow, asOfDay: number): Html {
  const due = dueText(row.dueDay, asOfDay);
  const where = whereItLeaves(row);
  return html`
    <tr role="row" class=${row.state}>
      <th scope="row" role="rowheader" class="who">
        <a href=${`/units/${encodeURIComponent(row.instrument)}`}>${row.instrument}</a>
        <small>${whereAndHowUsed(row.site, row.usage)}</small>
      </th>
      <td role="cell" class="picture">
        ${row.lanes === null ? html`<small>${row.note}</small>` : lanePicture(row.lanes)}
      </td>
      <td role="cell" class="chance">
        <strong>${chanceText(row.chance)}</strong>
        <small>${sign(row.state)} ${STATE_LABEL[row.state]}</small>
      </td>
      <td role="cell" class="where">${where.band}<small>${where.pattern}</small></td>
      <td role="cell" class="due">${due.date}<small>${due.distance}</small></td>
      <td role="cell" class="step">
        ${NEXT_STEP[row.step]}
        <small class=${row.overdueCheck ? "overdue" : ""}>${lastCheckText(row.lastCheckDay, row.overdueCheck, asOfDay)}</small>
      </td>
    </tr>
  `;
}
