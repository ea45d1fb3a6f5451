import { html } from "htm/preact";
import type { ChartPicture } from "../charts/pictures.ts";
import type { UnitPage } from "../page-models/unit.ts";
import { checksTable } from "../tables/checks.ts";
import { linearityTable, livesTable } from "../tables/unit.ts";
import { FLUIDS_WITH_CARE, OUT_OF_USE } from "../wording/cautions.ts";
import { boundsText, windowText } from "../wording/findings.ts";
import { plain } from "../wording/phrase.ts";
import { aboutUnit, finding, keyFigures } from "../wording/unit.ts";
import {
  LINEARITY_CAPTION,
  LIVES_CAPTION,
  linearityAloud,
  livesAloud,
  livesNote,
} from "../wording/unit-charts.ts";
import { chartFigure } from "./chart-figure.ts";
import { evidenceSection } from "./evidence.ts";
import { headlineOf } from "./headline.ts";
import { judgementsSection } from "./judgements.ts";
import { type Html, renderPage } from "./layout.ts";
import { livesPicture } from "./lives-picture.ts";
import { watchSection } from "./watch.ts";

/** Checks shown on the page itself; the rest is one link away. */
const LATEST_CHECKS = 5;

/** One unit: what it does, its lives, its error along the torque, what the figures say, its checks. */
export function renderUnit(page: UnitPage, linearity: ChartPicture): string {
  const address = `/units/${encodeURIComponent(page.instrument)}`;
  const sentence = finding(page);
  return renderPage({
    title: plain(sentence),
    place: "units",
    figures: { json: `${address}?format=json`, csv: `${address}?format=csv` },
    charts: true,
    body: html`
      ${headlineOf(sentence)}
      <p class="rests-on">${aboutUnit(page)}</p>
      ${keyFigureList(page)} ${sinceParagraph(page)}
      ${page.readings.length === 0 ? null : chartSections(page, linearity, address)}
      ${judgementsSection(page)}
      ${page.readings.length === 0 ? evidenceSection(page) : checksSection(page, address)}
    `,
  });
}

function keyFigureList(page: UnitPage): Html {
  const figures = keyFigures(page);
  if (figures.length === 0) return null;
  return html`
    <dl class="key-figures">
      ${figures.map(({ label, value, more }) => html`<div><dt>${label}</dt><dd><strong>${value}</strong><small>${more}</small></dd></div>`)}
    </dl>
  `;
}

/** Since when it has been out, by all its checks and by those as read; people's decisions have their own page. */
function sinceParagraph({ forecast, outSince }: UnitPage): Html {
  if (forecast.state !== "out") return null;
  return html`
    <p class="since-when">
      ${windowText(outSince)} ${outSince === null ? null : `As read: ${boundsText(outSince)}.`}
      ${" "}<a href="/findings">What results may be off by, and what was decided</a>
    </p>
  `;
}

function chartSections(page: UnitPage, linearity: ChartPicture, address: string): Html {
  return html`
    <section id="lives" aria-labelledby="lives-head">
      <h2 id="lives-head">Its lives, band by band</h2>
      ${chartFigure({
        name: "lives",
        address: `${address}/charts/lives`,
        pictures: { byHand: livesPicture(page.lives) },
        aloud: livesAloud(page),
        caption: LIVES_CAPTION,
        figured: "error-over-tolerance",
        note: livesNote(page.lives),
        controls: html`<label class="switch"><input type="checkbox" id="as-read" checked /> show readings as they were read, too</label>`,
        table: livesTable(page.lives),
      })}
    </section>
    <div class="two">
      <section aria-labelledby="linearity-head">
        <h2 id="linearity-head">Error along the torque</h2>
        ${chartFigure({
          name: "linearity",
          address: `${address}/charts/linearity`,
          pictures: [linearity],
          aloud: linearityAloud(page.linearity),
          caption: LINEARITY_CAPTION,
          figured: ["linearity", "nonlinearity"],
          table: linearityTable([
            { name: "as left", view: page.linearity.asLeft },
            { name: "average of this life", view: page.linearity.life },
          ]),
        })}
        <p class="onward"><a href=${`/side-by-side?of=${encodeURIComponent(page.instrument)}`}>Lay it beside another life, fluid lot, time or unit</a></p>
      </section>
      ${evidenceSection(page)}
    </div>
    ${watchSection(page)}
  `;
}

function checksSection(page: UnitPage, address: string): Html {
  const latest = new Set(
    page.readings
      .map((reading) => reading.check)
      .filter((check, i, all) => all.indexOf(check) === i)
      .slice(0, LATEST_CHECKS),
  );
  const caption = `The latest checks of ${page.instrument}`;
  return html`
    <section aria-labelledby="checks-head">
      <h2 id="checks-head">Its latest checks</h2>
      <div class="scroll" tabindex="0" role="region" aria-label=${caption}>
        ${checksTable(
          page.instrument,
          page.readings.filter((reading) => latest.has(reading.check)),
          caption,
        )}
      </div>
      <p class="more"><a href=${`${address}/checks`}>All ${page.checks} checks</a></p>
      <p class="caution">${OUT_OF_USE} ${FLUIDS_WITH_CARE}</p>
    </section>
  `;
}
