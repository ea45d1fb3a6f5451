import { html } from "htm/preact";
import type { ChartPicture, ChartPictures } from "../charts/pictures.ts";
import { figured } from "./figured.ts";
import type { Html } from "./layout.ts";

export interface ChartFigureParts {
  readonly name: string;
  /** Where a script finds the live chart: its specification, or a hand-drawn picture whose marks tell their figures. */
  readonly address: string;
  /** As drawn for several widths, or drawn by hand for all of them. */
  readonly pictures: ChartPictures | { readonly byHand: Html };
  /** What the picture shows, for those who do not see it. */
  readonly aloud: string;
  readonly caption: string;
  /** The entry that says how it is figured; left out where there is none. */
  readonly figured?: string | readonly string[];
  readonly note?: string | null;
  /** The same figures; null where the page's own table has them. */
  readonly table: Html;
  /** Controls that belong to the chart, above it. */
  readonly controls?: Html;
}

/** A picture with its caption above, its words for those who listen, and its table one key away. */
export function chartFigure(parts: ChartFigureParts): Html {
  const { name, address, pictures, aloud, caption, note = null, table, controls = null } = parts;
  return html`
    <figure class=${`chart chart-${name}`}>
      <figcaption>${caption}${note === null ? null : ` ${note}`}${[parts.figured ?? []].flat().map(figured)}</figcaption>
      ${controls}
      ${
        "byHand" in pictures
          ? html`<div class="drawing" role="img" aria-label=${aloud} data-picture=${address}>${pictures.byHand}</div>`
          : html`<div class="drawing" role="img" aria-label=${aloud} data-chart=${address}>${pictures.map(ofSize)}</div>`
      }
      ${
        table === null
          ? null
          : html`<details class="same-figures"><summary>The same figures as a table</summary><div class="scroll" tabindex="0" role="region" aria-label="Figures of the chart">${table}</div></details>`
      }
    </figure>
  `;
}

function ofSize({ size, width, svg }: ChartPicture): Html {
  return html`<div class=${`size-${size}`} data-width=${width} dangerouslySetInnerHTML=${{ __html: svg }}></div>`;
}
