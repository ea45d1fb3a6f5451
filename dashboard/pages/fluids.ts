import { html } from "htm/preact";
import type { LotVerdict } from "../../analysis/index.ts";
import { fleetAddress } from "../page-models/fleet-query.ts";
import { type LotRow, VERDICT_STATE } from "../page-models/fluid-lots.ts";
import type { FluidsPage } from "../page-models/fluids.ts";
import { bathsTable } from "../tables/fluids.ts";
import { FLUIDS_WITH_CARE } from "../wording/cautions.ts";
import { monthAndYear } from "../wording/dates.ts";
import {
  ageingText,
  BATHS_CAPTION,
  bathErrorText,
  bathStep,
  errorText,
  fluidsHeadline,
  fluidsRestOn,
  gapText,
  LOTS_CAPTION,
  lotKind,
  lotStep,
  NEVER_TOLD_APART,
  NOT_TO_A_LOT,
  OVERLAP_ADVICE,
  sitesText,
  usedText,
  VERDICT_LABEL,
  VERDICT_MEANING,
} from "../wording/fluids.ts";
import { count, counted } from "../wording/numbers.ts";
import { plain } from "../wording/phrase.ts";
import { figured } from "./figured.ts";
import { bathPicture, lotPicture } from "./fluid-pictures.ts";
import { headlineOf } from "./headline.ts";
import { type Html, renderPage } from "./layout.ts";
import { linked } from "./linked.ts";
import { sign } from "./sign.ts";

const VERDICTS: readonly LotVerdict[] = ["unsound", "doubtful", "unjudged", "sound"];

/** What units share: every fluid lot, what cannot be told apart, every site's bath. */
export function renderFluids(page: FluidsPage): string {
  const sentence = fluidsHeadline(page);
  return renderPage({
    title: plain(sentence),
    place: "fluids",
    figures: { json: "/fluids?format=json", csv: "/fluids?format=csv" },
    body: html`
      ${headlineOf(sentence)}
      <p class="rests-on">${fluidsRestOn(page)}</p>
      ${page.lots.length === 0 ? null : lotsSection(page)}
      ${page.baths.length === 0 ? null : bathsSection(page)}
      ${gapsSection(page)}
      <p class="caution">${NOT_TO_A_LOT} ${FLUIDS_WITH_CARE}</p>
    `,
  });
}

function lotsSection({ lots, asOfDay }: FluidsPage): Html {
  return html`
    <section id="lots" aria-labelledby="lots-head">
      <h2 id="lots-head">Every lot beside its certificate</h2>
      <p class="caption">${LOTS_CAPTION}${figured("fluid-lot")}</p>
      <table class="fleet lots" role="table">
        <caption class="unseen">Fluid lots, the most urgent first</caption>
        <thead role="rowgroup">
          <tr role="row">
            <th scope="col" role="columnheader">Lot</th>
            <th scope="col" role="columnheader" class="lanes-head">
              <span>reads low</span><span>as certified</span><span>reads high</span>
            </th>
            <th scope="col" role="columnheader">Off its certificate</th>
            <th scope="col" role="columnheader">Who uses it</th>
            <th scope="col" role="columnheader">What to do</th>
          </tr>
        </thead>
        <tbody role="rowgroup">
          ${lots.map((lot) => lotLine(lot, asOfDay))}
        </tbody>
      </table>
      ${verdictTally(lots)}
    </section>
  `;
}

function lotLine(lot: LotRow, asOfDay: number): Html {
  const state = VERDICT_STATE[lot.verdict];
  return html`
    <tr role="row" class=${state}>
      <th scope="row" role="rowheader" class="who">
        <a href=${lot.href}>${lot.fluidLot}</a>
        <small>${lotKind(lot)}</small>
      </th>
      <td role="cell" class="picture">${lotPicture(lot)}</td>
      <td role="cell" class="chance">
        <strong>${errorText(lot)}</strong>
        <small>${sign(state)} ${VERDICT_LABEL[lot.verdict]}, ${ageingText(lot)}</small>
      </td>
      <td role="cell" class="due">
        ${counted(lot.units, "unit")}, ${counted(lot.checks, "check")}
        <small>${sitesText(lot.sites)} · ${usedText(lot)}</small>
      </td>
      <td role="cell" class="step">
        ${lotStep(lot, asOfDay)}
        ${lot.note === null ? null : html`<small>${lot.note}</small>`}
      </td>
    </tr>
  `;
}

/** The key to the signs. */
function verdictTally(lots: readonly LotRow[]): Html {
  return html`
    <ul class="tally">
      ${VERDICTS.map((verdict) => {
        const n = lots.filter((lot) => lot.verdict === verdict).length;
        return n === 0
          ? null
          : html`<li>${sign(VERDICT_STATE[verdict])} <b>${count(n)}</b> ${VERDICT_LABEL[verdict]}: ${VERDICT_MEANING[verdict]}</li>`;
      })}
    </ul>
  `;
}

function bathsSection({ baths, allowedKelvin }: FluidsPage): Html {
  const quarters = baths.flatMap((bath) => bath.quarters);
  const span = [
    Math.min(...quarters.map(({ fromDay }) => fromDay)),
    Math.max(...quarters.map(({ toDay }) => toDay)),
  ] as const;
  return html`
    <section id="baths" aria-labelledby="baths-head">
      <h2 id="baths-head">Every site’s bath over time</h2>
      <p class="caption">${BATHS_CAPTION}${figured("bath")}</p>
      <table class="fleet baths" role="table">
        <caption class="unseen">Baths, site by site</caption>
        <thead role="rowgroup">
          <tr role="row">
            <th scope="col" role="columnheader">Site</th>
            <th scope="col" role="columnheader" class="lanes-head">
              <span>${monthAndYear(span[0])}</span><span></span><span>${monthAndYear(span[1])}</span>
            </th>
            <th scope="col" role="columnheader">Too warm by</th>
            <th scope="col" role="columnheader">What to do</th>
          </tr>
        </thead>
        <tbody role="rowgroup">
          ${baths.map(
            (bath) => html`
              <tr role="row" class=${VERDICT_STATE[bath.verdict]}>
                <th scope="row" role="rowheader" class="who">
                  <a href=${fleetAddress({ site: bath.site })}>${bath.site}</a>
                  <small>${counted(bath.units, "unit")}</small>
                </th>
                <td role="cell" class="picture">${bathPicture(bath, allowedKelvin, span)}</td>
                <td role="cell" class="chance">
                  <strong>${bathErrorText(bath.latest)}</strong>
                  <small>${sign(VERDICT_STATE[bath.verdict])} ${VERDICT_LABEL[bath.verdict]}</small>
                </td>
                <td role="cell" class="step">${bathStep(bath)}</td>
              </tr>
            `,
          )}
        </tbody>
      </table>
      <details class="same-figures">
        <summary>The same figures as a table</summary>
        <div class="scroll" tabindex="0" role="region" aria-label="Baths by quarter">${bathsTable(baths)}</div>
      </details>
    </section>
  `;
}

function gapsSection({ gaps }: FluidsPage): Html {
  return html`
    <section id="gaps" aria-labelledby="gaps-head">
      <h2 id="gaps-head">What cannot be told apart, and what would settle it</h2>
      <ul class="findings">
        ${gaps.map((gap) => {
          const { what, settle } = gapText(gap);
          return html`<li>${linked(what)} ${settle}</li>`;
        })}
        <li>${NEVER_TOLD_APART}</li>
        <li>${OVERLAP_ADVICE}</li>
      </ul>
    </section>
  `;
}
