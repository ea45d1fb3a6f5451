import type { PatternName } from "../../analysis/index.ts";
import type { LotSpell } from "../page-models/lives.ts";
import type { UnitPage } from "../page-models/unit.ts";
import { date, dateInYear, distance } from "./dates.ts";
import { sinceText } from "./findings.ts";
import { whereAndHowUsed } from "./fleet.ts";
import { count, countedInWords, decimal, percent, signed, THIN } from "./numbers.ts";
import type { Phrase } from "./phrase.ts";
import { BAND_LABEL } from "./states.ts";

/** Sentences of a unit's page: what it does, and on what that rests. */

/** "V-0082 reads lower with every month, most at high torque: 77 % likely to be out before its service on 6 Nov 2026." */
export function finding(page: UnitPage): Phrase[] {
  const { instrument, forecast, asOfDay } = page;
  if (forecast.state === "unjudged" || forecast.pOutBeforeService === null) {
    return [{ text: `${instrument} cannot be judged yet.` }];
  }
  const does = whatItDoes(page);
  if (forecast.state === "out") {
    return [
      { text: `${instrument} ${does}: it is ` },
      { text: "out of tolerance", href: "#lives", state: "out" },
      { text: forecast.band === null ? "." : ` at ${BAND_LABEL[forecast.band]}.` },
    ];
  }
  const chance = percent(forecast.pOutBeforeService);
  const by = forecast.basis?.checksUsed === 0 ? " by its earlier lives and the fleet it is " : " ";
  return [
    { text: `${instrument} ${does}:${by}` },
    { text: `${chance} likely`, href: "#lives", state: forecast.state },
    { text: ` to be out ${beforeItsService(forecast.nextServiceDueDay, asOfDay)}.` },
  ];
}

/** Drift slower than this over a year cannot be seen between two services. Unit: error over tolerance a year. */
const HARDLY_MOVES = 0.15;
/** A unit that stands still is worth a word from this error over tolerance on. */
const WORTH_TELLING = 0.5;

function whatItDoes({ forecast, driftPerYear }: UnitPage): string {
  const { bands, band, pattern, basis } = forecast;
  if (bands === null || band === null || driftPerYear === null) return "has been checked too little";
  if (basis?.checksUsed === 0) return "has not been checked since its service";
  const side = bands[band].now > 0 ? "high" : "low";
  if (pattern.name === "scatter")
    return "moves no more than others, but its readings scatter more than theirs";
  if (pattern.name === "step") return `moved at once and reads ${side} since`;
  if (Math.abs(driftPerYear) < HARDLY_MOVES) {
    const apart = Math.abs(bands[band].now) > WORTH_TELLING;
    return apart ? `stands still, but reads ${side} at ${BAND_LABEL[band]}` : "hardly moves";
  }
  const way = driftPerYear > 0 ? "higher" : "lower";
  return `reads ${way} with every month, ${whereMost(pattern.name, BAND_LABEL[band])}`;
}

function beforeItsService(dueDay: number | null, asOfDay: number): string {
  if (dueDay === null) return "before its service";
  return dueDay < asOfDay
    ? `already; its service was due on ${date(dueDay)}`
    : `before its service on ${date(dueDay)}`;
}

function whereMost(pattern: PatternName, band: string): string {
  return pattern === "zero" ? "about the same at every torque" : `most at ${band}`;
}

/** "Tarn House · used daily · medium torque, 900 µN·m · checked 3 days ago · adjusted twice". */
export function aboutUnit(page: UnitPage): string {
  const { forecast } = page;
  const parts = [whereAndHowUsed(page.site, page.usage)];
  const spring = [
    ...(page.modelClass === null ? [] : [page.modelClass]),
    ...(page.fullScaleTorqueUnm === null
      ? []
      : [`${count(page.fullScaleTorqueUnm)}${THIN}\u00b5N\u00b7m full scale`]),
  ];
  if (spring.length > 0) parts.push(spring.join(", "));
  parts.push(
    forecast.lastCheckDay === null
      ? "never checked"
      : `last checked ${date(forecast.lastCheckDay)}${forecast.overdueCheck ? ", overdue" : ""}`,
  );
  parts.push(
    page.adjustingServices === 0 ? "no service on record" : `adjusted ${times(page.adjustingServices)}`,
  );
  return parts.join(" \u00b7 ");
}

function times(n: number): string {
  return n === 1 ? "once" : n === 2 ? "twice" : `${countedInWords(n, "time")}`;
}

export interface KeyFigure {
  readonly label: string;
  readonly value: string;
  readonly more: string;
}

/** The figures that a decision asks for. */
export function keyFigures({ forecast, asOfDay, outSince }: UnitPage): KeyFigure[] {
  const { pOutNow, pOutBeforeService, nextServiceDueDay, lastCheckDay, outOn, state } = forecast;
  if (pOutNow === null || pOutBeforeService === null) return [];
  const service =
    nextServiceDueDay === null
      ? "no service date is set"
      : `due ${date(nextServiceDueDay)}, ${distance(nextServiceDueDay, asOfDay)}`;
  const figures = [
    { label: "Out of tolerance today", value: percent(pOutNow), more: `as of ${date(asOfDay)}` },
    { label: "Out before its service", value: percent(pOutBeforeService), more: service },
  ];
  // When it would leave tolerance says nothing of a unit that has left it: since when it is out does.
  if (state === "out") {
    const since = sinceText(outSince);
    return [
      ...figures,
      {
        label: "Likely out since",
        value: since.day,
        more: outSince?.left ? `5 to 95${THIN}%: ${since.range}` : since.range,
      },
      {
        label: "Last checked",
        value: lastCheckDay === null ? "never" : date(lastCheckDay),
        more: lastCheckDay === null ? "" : distance(lastCheckDay, asOfDay),
      },
    ];
  }
  const outBy = outOn.p95 === null ? "it may also stay inside" : `out by ${date(outOn.p95)} with 95${THIN}%`;
  return [
    ...figures,
    { label: "Inside until", value: dayOrNever(outOn.p05, asOfDay), more: `with 95${THIN}%` },
    { label: "Even chance of out by", value: dayOrNever(outOn.p50, asOfDay), more: outBy },
  ];
}

function dayOrNever(day: number | null, asOfDay: number): string {
  if (day === null) return "beyond ten years";
  return day <= asOfDay ? "already past" : date(day);
}

/** What is expected of a band at its service: "at service 1.04". */
export function atServiceText(atService: number): string {
  return `at service ${decimal(atService, 2)}`;
}

/** The name of a service above the picture. */
export function gateText(day: number, action: string): string {
  return `${action} ${date(day)}`;
}

/** The name of the next service above the picture. */
export function dueGateText(day: number): string {
  return `due ${date(day)}`;
}

/** The name of a service where there is little room. */
export function shortGateText(day: number, action: string): string {
  return `${action} ${dateInYear(day)}`;
}

/** "L-25-07, reads +1.8 %". */
export function lotSpellText({ fluidLot, errorPercent }: LotSpell): string {
  return errorPercent === null ? fluidLot : `${fluidLot} ${signed(errorPercent, 1)}${THIN}%`;
}
