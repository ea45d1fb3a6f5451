import { html } from "htm/preact";
import { sentenceCase } from "../wording/numbers.ts";
import { WAITING, WAITING_WAY_OUT, type WaitedFor } from "../wording/standing.ts";
import { renderPage } from "./layout.ts";

/** What a page waits for, where that takes longer than a reader should be kept. */
export function renderWaiting(waitedFor: WaitedFor, detail: string | null): string {
  return renderPage({
    title: WAITING[waitedFor],
    place: null,
    waiting: true,
    body: html`
      <h1>${WAITING[waitedFor]}</h1>
      <div class="under-way"><p>
        <label for="under-way" id="stage">${detail === null ? "Under way" : sentenceCase(detail)}</label>
        <progress id="under-way"></progress>
        <a href="">Look again</a>
      </p></div>
      <p class="lead">${WAITING_WAY_OUT}</p>
    `,
  });
}
