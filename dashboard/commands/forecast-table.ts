import type { FleetAssessment, UnitForecast } from "../../analysis/index.ts";
import { date } from "../wording/dates.ts";
import { counted, percent, THIN } from "../wording/numbers.ts";
import { BAND_LABEL, PATTERN_LABEL, STATE_LABEL } from "../wording/states.ts";
import { textTable } from "./text-table.ts";

/**
 * The ranked fleet for a terminal: a sentence, then a row a unit, the likeliest to leave tolerance first.
 *
 * @param unregistered Instruments that have readings but no row in the register.
 * @param atMost Rows shown; the rest are counted. All where left out.
 */
export function forecastInWords(
  assessment: FleetAssessment,
  unregistered: readonly string[],
  atMost = Number.POSITIVE_INFINITY,
): string {
  const { units } = assessment;
  const shown = units.slice(0, atMost);
  const table = textTable(
    ["unit", "site", ">leaves tolerance", "state", "where", "how", "half likely by", "service due", "remark"],
    shown.map((unit) => rowOf(unit, assessment.asOfDay)),
  );
  const more = units.length - shown.length;
  return [
    `${headline(assessment)}\n`,
    table,
    more > 0 ? `… and ${counted(more, "unit")} less likely than these.\n` : "",
    unregistered.length > 0 ? `${withoutRow(unregistered)}\n` : "",
    "A forecast is a probability, not a statement of conformity; your own procedures decide.\n",
  ].join("\n");
}

const NAMED = 5;

function withoutRow(instruments: readonly string[]): string {
  const more = instruments.length > NAMED ? ` and ${instruments.length - NAMED} more` : "";
  const what = counted(instruments.length, "instrument");
  return `${what} with readings but no row in the instruments register, so not listed: ${instruments.slice(0, NAMED).join(", ")}${more}.`;
}

function headline({ asOfDay, units }: FleetAssessment): string {
  if (units.length === 0) return "No unit is registered yet: ingest an instruments register.";
  const likely = units.filter((u) => u.state === "out" || u.state === "heading-out").length;
  const unjudged = units.filter((u) => u.state === "unjudged").length;
  const likelyWords =
    likely === 0
      ? `none of ${counted(units.length, "unit")} is likely to leave tolerance before its service`
      : `${likely} of ${counted(units.length, "unit")} ${likely === 1 ? "is" : "are"} out of tolerance or likely to be before service`;
  return `As of ${date(asOfDay)}: ${likelyWords}${unjudged > 0 ? `; ${unjudged} cannot be judged` : ""}.`;
}

function rowOf(unit: UnitForecast, asOfDay: number): string[] {
  const p = unit.pOutBeforeService;
  return [
    unit.instrument,
    unit.site ?? "",
    p === null ? "not known" : plain(percent(p)),
    STATE_LABEL[unit.state],
    unit.band === null || unit.state === "steady" ? "" : BAND_LABEL[unit.band],
    PATTERN_LABEL[unit.pattern.name] ?? "",
    unit.outOn.p50 === null ? "" : unit.outOn.p50 <= asOfDay ? "out now" : date(unit.outOn.p50),
    unit.nextServiceDueDay === null ? "not known" : date(unit.nextServiceDueDay),
    unit.note ?? "",
  ];
}

/** Terminals draw the narrow space at full width. */
function plain(text: string): string {
  return text.replaceAll(THIN, " ");
}
