import { html } from "htm/preact";
import { renderPage } from "./layout.ts";

/** What could not be done, and the way out. */
export function renderError(message: string, wayOut: string): string {
  return renderPage({
    title: message,
    place: null,
    body: html`
      <h1>${message}</h1>
      <p class="lead">${wayOut}</p>
      <p><a href="/">Go to today</a></p>
    `,
  });
}
