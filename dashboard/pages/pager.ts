import { html } from "htm/preact";
import type { Html } from "./layout.ts";

/** The ways from one part of a long table to the next. */
export interface Pager {
  /** 1 is the first. */
  readonly page: number;
  readonly pages: number;
  readonly address: (page: number) => string;
  /** What of the table is shown; its page number where left out. */
  readonly shown?: string;
  readonly words?: { readonly back: string; readonly on: string };
}

/** null where all of the table is shown. */
export function pager({ page, pages, address, shown, words = { back: "Back", on: "Go on" } }: Pager): Html {
  if (pages <= 1) return null;
  const link = (to: number, text: string, rel: string): Html =>
    html`<a href=${address(to)} rel=${rel}>${text}</a>`;
  return html`
    <nav class="pager" aria-label="Pages of the table">
      ${page > 1 ? link(page - 1, words.back, "prev") : null}
      <span>${shown ?? `Page ${page} of ${pages}`}</span>
      ${page < pages ? link(page + 1, words.on, "next") : null}
    </nav>
  `;
}
