import { html } from "htm/preact";
import {
  type Choice,
  choiceText,
  MOST_SIDES,
  type Side,
  type SideBySidePage,
  sideBySideAddress,
} from "../page-models/side-by-side.ts";
import { linearityTable } from "../tables/unit.ts";
import { date } from "../wording/dates.ts";
import { choiceName, differenceText, SIDES_CAPTION, sidesHeadline } from "../wording/side-by-side.ts";
import { hiddenFields } from "./hidden-fields.ts";
import { type Html, renderPage } from "./layout.ts";
import { linePicture } from "./line-picture.ts";

/** Up to four lines of error along the torque: units, lives, fluid lots, times. */
export function renderSideBySide(page: SideBySidePage): string {
  const sentence = sidesHeadline(page.sides);
  const choices = page.sides.map(({ choice }) => choice);
  const here = sideBySideAddress(choices);
  const figures = `${here}${here.includes("?") ? "&" : "?"}format=`;
  return renderPage({
    title: sentence,
    place: "units",
    figures: { json: `${figures}json`, csv: `${figures}csv` },
    body: html`
      <h1>${sentence}</h1>
      <p class="rests-on">As of ${date(Date.parse(page.asOf) / 86_400_000)}.${page.sides.length > 0 ? ` ${SIDES_CAPTION}` : ""}</p>
      ${page.sides.length === 0 ? null : html`<div class="sides">${page.sides.map((side, i) => sideFigure(side, choices, i, page.reach))}</div>`}
      ${page.sides.length === 0 ? null : html`<div class="scroll" tabindex="0" role="region" aria-label="The lines as figures">${linearityTable(page.sides.map(({ choice, fit }) => ({ name: choiceName(choice), view: fit })))}</div>`}
      ${choices.length < MOST_SIDES ? add(choices) : null} ${offers(page, choices)}
    `,
  });
}

function sideFigure(side: Side, choices: readonly Choice[], i: number, reach: number): Html {
  const { choice } = side;
  const others = choices.filter((_, other) => other !== i);
  return html`
    <figure>
      <figcaption>
        <b><a href=${`/units/${encodeURIComponent(choice.instrument)}`}>${choice.instrument}</a></b>
        <small>${choiceName(choice).slice(choice.instrument.length + 2)}</small>
      </figcaption>
      ${linePicture(side, reach)}
      <p>${differenceText(side)}</p>
      <p><a href=${sideBySideAddress(others)}>take away<span class="unseen"> ${choiceName(choice)}</span></a></p>
    </figure>
  `;
}

function add(choices: readonly Choice[]): Html {
  return html`
    <section aria-labelledby="add-head">
      <h2 id="add-head">Add one</h2>
      <p class="caption">Without days, the unit’s present life; with days, all of its checks between them; with a lot, only those made with it.</p>
      <form action="/side-by-side" method="get" class="decide">
        ${hiddenFields(choices.map((choice) => ["of", choiceText(choice)] as const))}
        <div><label for="unit">Unit</label><input id="unit" name="unit" required autocomplete="off" spellcheck="false" value=${choices.at(-1)?.instrument ?? ""} /></div>
        <div><label for="from">From</label><input id="from" name="from" type="date" /></div>
        <div><label for="to">To</label><input id="to" name="to" type="date" /></div>
        <div><label for="lot">Fluid lot</label><input id="lot" name="lot" autocomplete="off" spellcheck="false" /></div>
        <button type="submit">Lay it beside</button>
      </form>
    </section>
  `;
}

function offers(page: SideBySidePage, choices: readonly Choice[]): Html {
  const shown = new Set(choices.map(choiceText));
  const open = page.offers.filter(({ choice }) => !shown.has(choiceText(choice)));
  if (open.length === 0 || choices.length >= MOST_SIDES) return null;
  return html`
    <section aria-labelledby="offers-head">
      <h2 id="offers-head">Lives and lots of the units shown</h2>
      <ul class="plain">
        ${open.map(({ choice }) => html`<li><a href=${sideBySideAddress([...choices, choice])}>${choiceName(choice)}</a></li>`)}
      </ul>
    </section>
  `;
}
