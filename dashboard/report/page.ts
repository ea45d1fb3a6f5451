import { html } from "htm/preact";
import { renderToString } from "preact-render-to-string";
import { dayOfIso } from "../assessment/days.ts";
import { countStates } from "../page-models/sites.ts";
import type { Html } from "../pages/layout.ts";
import { sign } from "../pages/sign.ts";
import { FORECASTS_ARE_NOT_CONFORMITY, OUT_OF_USE } from "../wording/cautions.ts";
import { date } from "../wording/dates.ts";
import { chanceText, FLEET_PICTURE_CAPTION } from "../wording/fleet.ts";
import { count, counted, decimal, signed } from "../wording/numbers.ts";
import { CLAUSES, HOW_TO_RECOMPUTE, heldText, NO_CLAIM, REGULATED_WORK } from "../wording/report.ts";
import { STATE_LABEL } from "../wording/states.ts";
import type { EvidencePack } from "./gather.ts";
import { findingsSection, notesSection, recordSection, rulesSection, signalsSection } from "./sections.ts";
import { section, table } from "./table.ts";

/** What the page is made from beside the pack. */
export interface PackParts {
  readonly styles: string;
  readonly fleetPicture: string;
  /** Names of the CSV files beside the page, by table. */
  readonly fileNames: ReadonlyMap<string, string>;
}

const STATES = ["out", "heading-out", "leaning", "steady", "unjudged"] as const;

/** The evidence pack as one HTML file that needs no other to be read or printed. */
export function renderPack(pack: EvidencePack, parts: PackParts): string {
  const beside = (name: string) => parts.fileNames.get(name) ?? "";
  const page = html`
    <html lang="en">
      <head>
        <meta charset="utf-8" />
        <meta name="viewport" content="width=device-width, initial-scale=1" />
        <meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'" />
        <title>${`Evidence pack as of ${pack.asOf}`}</title>
        <style dangerouslySetInnerHTML=${{ __html: parts.styles }}></style>
      </head>
      <body>
        <main>
          ${cover(pack)}
          ${stateSection(pack, parts.fleetPicture, beside("units"))}
          ${signalsSection(pack, beside("signals"))}
          ${notesSection(pack, beside("notes"))}
          ${findingsSection(pack, beside("findings"))}
          ${recordSection(pack, beside("forecasts"))}
          ${section("Fluid lots", CLAUSES.lots, beside("lots"), lotsTable(pack))}
          ${heldSection(pack, beside("held-back"))}
          ${rulesSection(pack)}
          ${section("Versions and inputs", CLAUSES.inputs, beside("files"), inputs(pack))}
        </main>
      </body>
    </html>
  `;
  return `<!doctype html>\n${renderToString(page)}\n`;
}

function cover({ asOf, madeAtMs, versions, run }: EvidencePack): Html {
  return html`
    <header>
      <p class="kind">Springtide · evidence pack</p>
      <h1>${`${counted(run.assessment.units.length, "unit")} as of ${date(dayOfIso(asOf))}`}</h1>
      <p class="soft">${`Made ${new Date(madeAtMs).toISOString().slice(0, 16).replace("T", " ")} UTC with version ${versions.springtide} on Node ${versions.node}.`}</p>
      <p>${NO_CLAIM}</p>
      <p>${FORECASTS_ARE_NOT_CONFORMITY} ${OUT_OF_USE} ${REGULATED_WORK}</p>
    </header>
  `;
}

function stateSection({ run }: EvidencePack, picture: string, file: string): Html {
  const { units } = run.assessment;
  const states = countStates(units.map(({ state }) => state));
  const atRisk = units.filter(({ state }) => state === "out" || state === "heading-out");
  return section(
    "The fleet\u2019s state",
    CLAUSES.state,
    file,
    html`
      <ul class="tally">
        ${STATES.map((state) => html`<li>${sign(state)} ${count(states[state])} ${STATE_LABEL[state]}</li>`)}
      </ul>
      <figure>
        <figcaption>${FLEET_PICTURE_CAPTION}</figcaption>
        <div class="picture" dangerouslySetInnerHTML=${{ __html: picture }}></div>
      </figure>
      ${table(
        ["Unit", "Site", "State", ">Out now", ">Out before service", "Service due", "Last check"],
        atRisk.map((unit) => [
          unit.instrument,
          unit.site ?? "",
          STATE_LABEL[unit.state],
          chanceText(unit.pOutNow),
          chanceText(unit.pOutBeforeService),
          unit.nextServiceDueDay === null ? "not set" : date(unit.nextServiceDueDay),
          unit.lastCheckDay === null ? "never" : date(unit.lastCheckDay),
        ]),
        "No unit is out or likely to leave tolerance.",
      )}
    `,
  );
}

function lotsTable({ run }: EvidencePack): Html {
  return table(
    ["Lot", ">Off its certificate, %", ">Standard deviation", ">Units", ">Checks", "Verdict"],
    run.assessment.lots.map((lot) => [
      lot.fluidLot,
      signed(lot.errorPercent, 2),
      decimal(lot.errorSd, 2),
      count(lot.units),
      count(lot.checks),
      lot.verdict,
    ]),
    "No lot has been used.",
  );
}

function heldSection({ held, heldLater, asOf }: EvidencePack, file: string): Html {
  const reasons = Map.groupBy(held, ({ reason }) => reason);
  return section(
    "Data held back",
    CLAUSES.held,
    file,
    html`
      <p>${heldText(held.length, heldLater, dayOfIso(asOf))}</p>
      ${table(
        ["Reason", ">Rows", "The first of them"],
        [...reasons].map(([reason, rows]) => [
          reason,
          count(rows.length),
          `${rows[0]!.file}, line ${rows[0]!.line}: ${rows[0]!.message}`,
        ]),
        "Nothing was held back then.",
      )}
    `,
  );
}

function inputs({ files }: EvidencePack): Html {
  return html`
    <p>${HOW_TO_RECOMPUTE}</p>
    ${table(
      ["File", "Kind", "Taken in", ">Rows", "SHA-256"],
      files.map((file) => [
        file.file.split(/[/\\]/).at(-1)!,
        file.kind,
        new Date(file.takenInAtMs).toISOString().slice(0, 10),
        count(file.rows),
        file.sha256,
      ]),
      "No file has been taken in.",
      "digests",
    )}
  `;
}
