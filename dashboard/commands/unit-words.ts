import { BAND_NAMES } from "../../analysis/index.ts";
import type { LinearityView } from "../assessment/views.ts";
import type { UnitPage } from "../page-models/unit.ts";
import { FORECASTS_ARE_NOT_CONFORMITY, OUT_OF_USE } from "../wording/cautions.ts";
import { explanationLabel, factText, gapText, patternText, STEP_IN_FULL } from "../wording/evidence.ts";
import { decimal, percent, signed, THIN } from "../wording/numbers.ts";
import { plain } from "../wording/phrase.ts";
import { BAND_LABEL } from "../wording/states.ts";
import { aboutUnit, finding, keyFigures } from "../wording/unit.ts";
import { textTable } from "./text-table.ts";

/** One unit for a terminal: the finding, the figures, the evidence, what to do next. */
export function unitInWords(page: UnitPage): string {
  const { forecast, evidence } = page;
  const parts = [
    `${plain(finding(page))}\n${aboutUnit(page)}`,
    keyFigures(page)
      .map(({ label, value, more }) => `${label}: ${value} (${more})`)
      .join("\n"),
    bandTable(page),
    linearityLines(page),
    patternText(forecast.pattern),
    evidence.explanations
      .map((e) => `${percent(e.weight).padStart(10)}  ${explanationLabel(e.name)}`)
      .join("\n"),
    listed("For it", evidence.forIt.map(factText)),
    listed("Not known", evidence.notKnown.map(gapText)),
    listed("Do next", [STEP_IN_FULL[evidence.step]]),
    forecast.state === "out" ? OUT_OF_USE : FORECASTS_ARE_NOT_CONFORMITY,
  ];
  return `${parts
    .filter((part) => part !== "")
    .join("\n\n")
    .replaceAll(THIN, " ")}\n`;
}

function bandTable({ forecast: { bands } }: UnitPage): string {
  if (bands === null) return "";
  return textTable(
    ["error over tolerance", ">today", ">±", ">at its service", ">±", ">checks"],
    BAND_NAMES.map((band) => {
      const { now, nowSd, atService, atServiceSd, checks } = bands[band];
      return [
        BAND_LABEL[band],
        signed(now, 2),
        decimal(nowSd, 2),
        signed(atService, 2),
        decimal(atServiceSd, 2),
        String(checks),
      ];
    }),
  ).trimEnd();
}

function linearityLines({ linearity }: UnitPage): string {
  const rows = [linearityRow("this life", linearity.life), linearityRow("as left", linearity.asLeft)].filter(
    (row) => row !== null,
  );
  if (rows.length === 0) return "";
  return textTable(
    ["error along the torque, % of full scale", ">zero", ">span", ">departure at mid-range", ">checks"],
    rows,
  ).trimEnd();
}

function linearityRow(name: string, fit: LinearityView | null): string[] | null {
  if (fit === null) return null;
  const withSe = (value: number | null, se: number | null) =>
    value === null || se === null ? "not known" : `${signed(value, 2)} ± ${decimal(se, 2)}`;
  return [
    name,
    withSe(fit.zero, fit.zeroSe),
    withSe(fit.span, fit.spanSe),
    withSe(fit.nonlinearity, fit.nonlinearitySe),
    String(fit.checks),
  ];
}

function listed(title: string, lines: readonly string[]): string {
  return lines.length === 0 ? "" : [`${title}:`, ...lines.map((line) => `  - ${line}`)].join("\n");
}
