import { html } from "htm/preact";
import type { LotUnit } from "../../analysis/index.ts";
import type { ChartPictures } from "../charts/pictures.ts";
import { lotAddress, VERDICT_STATE } from "../page-models/fluid-lots.ts";
import { type LotPage, lotPartAddress, standsApart } from "../page-models/lot.ts";
import { lotCourseTable } from "../tables/fluids.ts";
import { FLUIDS_WITH_CARE, OUT_OF_USE } from "../wording/cautions.ts";
import { date } from "../wording/dates.ts";
import { NOT_TO_A_LOT, VERDICT_LABEL } from "../wording/fluids.ts";
import {
  AGE_CAPTION,
  aboutLot,
  ageAloud,
  agreementText,
  agreesText,
  lotFinding,
  lotKeyFigures,
  lotSteps,
  saysText,
  unitVerdictText,
  verdictsText,
  WORDS_CAPTION,
} from "../wording/lot.ts";
import { count, counted } from "../wording/numbers.ts";
import { plain } from "../wording/phrase.ts";
import { chartFigure } from "./chart-figure.ts";
import { wordPicture } from "./fluid-pictures.ts";
import { headlineOf } from "./headline.ts";
import { type Html, renderPage } from "./layout.ts";
import { pager } from "./pager.ts";
import { sign } from "./sign.ts";

/** One fluid lot: what it is off by, over its age, which units say so, what it did to verdicts, what to do. */
export function renderLot(page: LotPage, pictures: ChartPictures): string {
  const address = lotAddress(page.lot.fluidLot);
  const here = lotPartAddress(page.lot.fluidLot, page.page);
  const figures = `${here}${page.page > 1 ? "&" : "?"}format=`;
  const sentence = lotFinding(page);
  return renderPage({
    title: plain(sentence),
    place: "fluids",
    figures: { json: `${figures}json`, csv: `${figures}csv` },
    charts: true,
    inPlace: true,
    body: html`
      ${headlineOf(sentence)}
      <p class="rests-on">${aboutLot(page)}</p>
      ${keyFigureList(page)}
      <section id="age" aria-labelledby="age-head">
        <h2 id="age-head">Its error over its age</h2>
        ${chartFigure({
          name: "lot",
          address: `${address}/chart`,
          pictures,
          aloud: ageAloud(page),
          caption: AGE_CAPTION,
          figured: "fluid-lot",
          table: lotCourseTable(page.picture),
        })}
      </section>
      <section class="evidence" aria-labelledby="means-head">
        <h2 id="means-head">What it did, and what to do</h2>
        <p class="said">${verdictsText(page.tally)}</p>
        <dl class="points">
          ${page.lot.note === null ? null : html`<dt>Known of it</dt><dd>${page.lot.note}</dd>`}
          <dt>Do next</dt>
          ${lotSteps(page).map((step) => html`<dd>${step}</dd>`)}
        </dl>
      </section>
      ${unitsSection(page)}
      <p class="caution">${NOT_TO_A_LOT} ${OUT_OF_USE} ${FLUIDS_WITH_CARE}</p>
    `,
  });
}

function keyFigureList(page: LotPage): Html {
  return html`
    <dl class="key-figures">
      ${lotKeyFigures(page).map(({ label, value, more }) => html`<div><dt>${label}</dt><dd><strong>${value === VERDICT_LABEL[page.lot.verdict] ? html`<span class=${VERDICT_STATE[page.lot.verdict]}>${sign(VERDICT_STATE[page.lot.verdict])}</span> ${value}` : value}</strong><small>${more}</small></dd></div>`)}
    </dl>
  `;
}

function unitsSection(page: LotPage): Html {
  const { shown, units, pages } = page;
  const first = units.indexOf(shown[0]!) + 1;
  const caption = `Units that used ${page.lot.fluidLot}, and what each says of it by itself`;
  return html`
    <section id="units" aria-labelledby="units-head">
      <h2 id="units-head">Which units say so</h2>
      <p class="caption">${agreementText(page)} ${WORDS_CAPTION}</p>
      <table class="fleet words" role="table">
        <caption class="unseen">${caption}</caption>
        <thead role="rowgroup">
          <tr role="row">
            <th scope="col" role="columnheader">Unit</th>
            <th scope="col" role="columnheader" class="lanes-head">
              <span>reads low</span><span>as certified</span><span>reads high</span>
            </th>
            <th scope="col" role="columnheader">Says by itself</th>
            <th scope="col" role="columnheader">Its checks with it</th>
            <th scope="col" role="columnheader">What the lot did to them</th>
          </tr>
        </thead>
        <tbody role="rowgroup">
          ${shown.map((unit) => unitLine(unit, page))}
        </tbody>
      </table>
      ${pager({
        page: page.page,
        pages,
        address: (to) => `${lotPartAddress(page.lot.fluidLot, to)}#units`,
        shown: `${count(first)} to ${count(first + shown.length - 1)} of ${count(units.length)}`,
      })}
    </section>
  `;
}

function unitLine(unit: LotUnit, { lot }: LotPage): Html {
  const when =
    Math.floor(unit.firstDay) === Math.floor(unit.lastDay)
      ? date(unit.firstDay)
      : `${date(unit.firstDay)} to ${date(unit.lastDay)}`;
  return html`
    <tr role="row" class=${standsApart(unit) ? "out" : "steady"}>
      <th scope="row" role="rowheader" class="who">
        <a href=${`/units/${encodeURIComponent(unit.instrument)}`}>${unit.instrument}</a>
        <small>${unit.site ?? "no site given"}</small>
      </th>
      <td role="cell" class="picture">${wordPicture(unit, lot)}</td>
      <td role="cell" class="says">${saysText(unit)}<small>${agreesText(unit)}</small></td>
      <td role="cell" class="due">${counted(unit.checks, "check")}<small>${when}</small></td>
      <td role="cell" class="step">${unitVerdictText(unit)}</td>
    </tr>
  `;
}
