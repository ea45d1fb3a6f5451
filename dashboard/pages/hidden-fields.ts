import { html } from "htm/preact";
import type { Html } from "./layout.ts";

/** What a form takes along without showing it. */
export function hiddenFields(fields: readonly (readonly [string, string])[]): Html {
  return fields.map(([name, value]) => html`<input type="hidden" name=${name} value=${value} />`);
}
