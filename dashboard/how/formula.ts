import { html } from "htm/preact";
import type { Html } from "../pages/layout.ts";

/** Formulas as MathML: text is cut at blanks into numbers, signs and names. */

type Part = Html | string;

const NUMBER = /^[\d.]+$/;
const SIGN = /^[=+\u2212\u00d7\u00b1<>\u2264\u2265(),|\u2211\u221e\u00b7/\u2248]+$/;

/** Words, numbers and signs in a row: `row("r =", fraction("e", "T"))`. */
export function row(...parts: readonly Part[]): Html {
  return html`<mrow>${parts.flatMap((part) => (typeof part === "string" ? tokens(part) : [part]))}</mrow>`;
}

/** One over the other. */
export function fraction(above: Part, below: Part): Html {
  return html`<mfrac>${row(above)}${row(below)}</mfrac>`;
}

/** With an index. */
export function index(base: Part, below: Part): Html {
  return html`<msub>${row(base)}${row(below)}</msub>`;
}

/** With an exponent. */
export function power(base: Part, above: Part): Html {
  return html`<msup>${row(base)}${row(above)}</msup>`;
}

/** A square root. */
export function root(of: Part): Html {
  return html`<msqrt>${row(of)}</msqrt>`;
}

/** A formula on a line of its own; `aloud` is what a listener hears. */
export function formula(aloud: string, ...parts: readonly Part[]): Html {
  return html`<math display="block" alttext=${aloud} aria-label=${aloud}>${row(...parts)}</math>`;
}

function tokens(text: string): Html[] {
  return text
    .split(" ")
    .filter((token) => token !== "")
    .map((token) => {
      if (NUMBER.test(token)) return html`<mn>${token}</mn>`;
      return SIGN.test(token) ? html`<mo>${token}</mo>` : html`<mi>${token}</mi>`;
    });
}
