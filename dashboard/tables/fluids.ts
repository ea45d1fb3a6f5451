import { html } from "htm/preact";
import type { BathRow } from "../page-models/fluids.ts";
import type { LotPicture } from "../page-models/lot.ts";
import type { Html } from "../pages/layout.ts";
import { date } from "../wording/dates.ts";
import { bathErrorText } from "../wording/fluids.ts";
import { decimal, signed } from "../wording/numbers.ts";

/** Tables with the figures of the pictures of lots and baths. */

/** Every site's bath, a row a quarter. */
export function bathsTable(baths: readonly BathRow[]): Html {
  const quarters = [...new Set(baths.flatMap((bath) => bath.quarters.map(({ fromDay }) => fromDay)))].sort(
    (a, b) => a - b,
  );
  return html`
    <table class="figures">
      <caption>Too warm by, with its standard deviation</caption>
      <thead>
        <tr><th scope="col">Quarter from</th>${baths.map(({ site }) => html`<th scope="col">${site}</th>`)}</tr>
      </thead>
      <tbody>
        ${quarters.map(
          (fromDay) => html`
            <tr>
              <th scope="row">${date(fromDay)}</th>
              ${baths.map((bath) => {
                const quarter = bath.quarters.find((candidate) => candidate.fromDay === fromDay);
                return html`<td>${quarter === undefined ? "\u2013" : bathErrorText(quarter)}</td>`;
              })}
            </tr>
          `,
        )}
      </tbody>
    </table>
  `;
}

/** A lot's error over its age. */
export function lotCourseTable({ path, fluidLot }: LotPicture): Html {
  const every = Math.max(1, Math.floor(path.day.length / 16));
  const rows = path.day.flatMap((day, i) =>
    i % every === 0 || i === path.day.length - 1 ? [{ day, error: path.error[i]!, sd: path.sd[i]! }] : [],
  );
  return html`
    <table class="figures">
      <caption>Error of ${fluidLot}, % of the certified value, with its standard deviation</caption>
      <thead><tr><th scope="col">Day</th><th scope="col">Error</th><th scope="col">Standard deviation</th></tr></thead>
      <tbody>
        ${rows.map(({ day, error, sd }) => html`<tr><th scope="row">${date(day)}</th><td>${signed(error, 2)}</td><td>${decimal(sd, 2)}</td></tr>`)}
      </tbody>
    </table>
  `;
}
