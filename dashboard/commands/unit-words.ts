import { BAND_NAMES } from "../../analysis/index.ts";
import type { LinearityView } from "../assessment/views.ts";
import type { UnitPage } from "../page-models/unit.ts";
import { FORECASTS_ARE_NOT_CONFORMITY, OUT_OF_USE } from "../wording/cautions.ts";
import { date } from "../wording/dates.ts";
import { explanationLabel, factText, gapText, patternText, STEP_IN_FULL } from "../wording/evidence.ts";
import { judgementText } from "../wording/judgements.ts";
import { decimal, percent, signed, THIN } from "../wording/numbers.ts";
import { plain } from "../wording/phrase.ts";
import { QUANTITY_LABEL } from "../wording/signals.ts";
import { BAND_LABEL } from "../wording/states.ts";
import { aboutUnit, finding, keyFigures } from "../wording/unit.ts";
import {
  changeText,
  fitText,
  levelText,
  RUN_RULES_ARE_NO_ALARMS,
  runRuleNote,
  signalText,
} from "../wording/watch.ts";
import { textTable } from "./text-table.ts";

/**
 * One unit for a terminal: the finding, the figures, the evidence, what to do next.
 *
 * @param sideBySide Lines of error along the torque in words.
 */
export function unitInWords(page: UnitPage, sideBySide: string): string {
  const { forecast, evidence } = page;
  const parts = [
    `${plain(finding(page))}\n${aboutUnit(page)}`,
    keyFigures(page)
      .map(({ label, value, more }) => `${label}: ${value} (${more})`)
      .join("\n"),
    bandTable(page),
    linearityLines(page),
    fitLines(page),
    sideBySide,
    patternText(forecast),
    evidence.explanations
      .map((e) => `${percent(e.weight).padStart(10)}  ${explanationLabel(e.name, forecast.pattern.name)}`)
      .join("\n"),
    listed("For it", evidence.forIt.map(factText)),
    listed("Not known", evidence.notKnown.map(gapText)),
    listed("Do next", [STEP_IN_FULL[evidence.step]]),
    watchTable(page),
    listed("What people decided", page.judgements.map(judgementText)),
    listed(
      "Signals, newest first",
      page.watch.signals.slice(0, SIGNALS_SHOWN).map((s) => `${date(s.onDay)}: ${signalText(s)}`),
    ),
    listed(
      RUN_RULES_ARE_NO_ALARMS.replace(/\.$/, ""),
      page.watch.rows.map(runRuleNote).filter((note) => note !== null),
    ),
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

const SIGNALS_SHOWN = 8;

function watchTable({ watch }: UnitPage): string {
  if (watch.rows.length === 0) return "";
  return textTable(
    ["charted since the last adjustment", ">checks", "weighted mean against its limit"],
    watch.rows.map((row) => [QUANTITY_LABEL[row.quantity], String(row.checks), levelText(row)]),
  ).trimEnd();
}

function fitLines({ fits }: UnitPage): string {
  return [fits.life && fitText(fits.life), changeText(fits.change)]
    .filter((line) => line !== null)
    .join("\n");
}

function linearityLines({ linearity, fits }: UnitPage): string {
  const rows = [
    linearityRow("average of this life", linearity.life),
    linearityRow("as found before it", fits.asFound),
    linearityRow("as left", linearity.asLeft),
    linearityRow("latest checks", fits.latest),
  ].filter((row) => row !== null);
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
