import { html } from "htm/preact";
import type { UnitState } from "../../analysis/index.ts";
import type { Html } from "./layout.ts";

/**
 * The sign of a state: shape first, colour second. Out is a square, heading out an arrowhead in the direction
 * of drift, leaning a filled circle, steady a hollow one, not judged a dashed one.
 *
 * @param x Centre in the picture's units, as is `y`; `size` is the sign's radius.
 */
export function signAt(state: UnitState, x: number, y: number, size: number, direction: 1 | -1 = 1): Html {
  switch (state) {
    case "out":
      return html`<rect class="mark-solid" x=${x - size} y=${y - size} width=${2 * size} height=${2 * size} />`;
    case "heading-out": {
      const tip = x + direction * size * 1.25;
      const back = x - direction * size;
      return html`<path class="mark-solid" d=${`M${tip} ${y}L${back} ${y - size * 1.15}V${y + size * 1.15}Z`} />`;
    }
    case "leaning":
      return html`<circle class="mark-solid" cx=${x} cy=${y} r=${size} />`;
    case "steady":
      return html`<circle class="mark-hollow" cx=${x} cy=${y} r=${size} />`;
    case "unjudged":
      return html`<circle class="mark-dashed" cx=${x} cy=${y} r=${size} />`;
  }
}

/** The sign on its own, in running text or a table cell; the word beside it says what it means. */
export function sign(state: UnitState): Html {
  return html`
    <svg class=${`sign ${state}`} viewBox="0 0 14 14" aria-hidden="true" focusable="false">
      ${signAt(state, 7, 7, 4.4)}
    </svg>
  `;
}
