import type { PatternName, UnitForecast } from "../../analysis/index.ts";
import type { LotSpell } from "../page-models/lives.ts";
import type { UnitPage } from "../page-models/unit.ts";
import { date, dateInYear, distance } from "./dates.ts";
import { whereAndHowUsed } from "./fleet.ts";
import { count, countedInWords, decimal, percent, signed, THIN } from "./numbers.ts";
import type { Phrase } from "./phrase.ts";
import { BAND_LABEL } from "./states.ts";

/** Sentences of a unit's page: what it does, and on what that rests. */

/** "V-0082 reads lower with every month, most at high torque: 77 % likely to be out before its service on 6 Nov 2026." */
export function finding(page: UnitPage): Phrase[] {
  const { instrument, forecast } = page;
  if (forecast.state === "unjudged" || forecast.pOutBeforeService === null) {
    return [{ text: `${instrument} cannot be judged yet.` }];
  }
  const does = whatItDoes(forecast);
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
    {
      text: ` to be out before its service${forecast.nextServiceDueDay === null ? "" : ` on ${date(forecast.nextServiceDueDay)}`}.`,
    },
  ];
}

/** Drift slower than this over a year cannot be seen between two services. Unit: error over tolerance a year. */
const HARDLY_MOVES = 0.15;

function whatItDoes({ bands, band, pattern, basis, lastCheckDay, nextServiceDueDay }: UnitForecast): string {
  if (bands === null || band === null) return "has been checked too little";
  if (basis?.checksUsed === 0) return "has not been checked since its service";
  const { now, atService } = bands[band];
  const years = Math.max(1 / 12, ((nextServiceDueDay ?? 0) - (lastCheckDay ?? 0)) / 365.25);
  const perYear = (atService - now) / years;
  const way = perYear > 0 ? "higher" : "lower";
  if (pattern.name === "scatter") return "scatters more than it did";
  if (pattern.name === "step") return `moved at once and reads ${now > 0 ? "high" : "low"} since`;
  if (Math.abs(perYear) < HARDLY_MOVES) {
    return Math.abs(now) > 0.5
      ? `stands still, but reads ${now > 0 ? "high" : "low"} at ${BAND_LABEL[band]}`
      : "hardly moves";
  }
  return `reads ${way} with every month, ${whereMost(pattern.name, BAND_LABEL[band])}`;
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
export function keyFigures({ forecast, asOfDay }: UnitPage): KeyFigure[] {
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
  // When it would leave tolerance says nothing of a unit that has left it.
  if (state === "out") {
    const checked = lastCheckDay === null ? "never" : date(lastCheckDay);
    return [
      ...figures,
      {
        label: "Last checked",
        value: checked,
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

/** What is expected of a band at its service: "at 0.34", "out, at 1.04". */
export function atServiceText(atService: number): string {
  const value = decimal(atService, 2);
  return Math.abs(atService) > 1 ? `out, at ${value}` : `at ${value}`;
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
