import {
  BAND_NAMES,
  type BandName,
  type BandPath,
  type LotVerdict,
  type UnitState,
} from "../../analysis/index.ts";
import { dayOfIso } from "../assessment/days.ts";
import type { UnitReading, UnitView } from "../assessment/views.ts";
import { condensePath, condensePoints } from "./condense.ts";
import { lanesOf } from "./lanes.ts";

/** A unit's lives, band by band: readings, services, lots, and what is to be expected until the next service. */
export interface Lives {
  readonly fromDay: number;
  readonly toDay: number;
  readonly asOfDay: number;
  readonly dueDay: number | null;
  /** Where the pictures end above and below. Error over tolerance. */
  readonly reach: number;
  readonly bands: readonly BandLife[];
  readonly gates: readonly Gate[];
  readonly lots: readonly LotSpell[];
}

export interface BandLife {
  readonly band: BandName;
  readonly state: UnitState;
  readonly points: readonly LifePoint[];
  /** What the analysis made of the present life so far, and expects of the rest of it. */
  readonly past: BandPath | null;
  readonly ahead: BandPath | null;
}

/** One reading. Errors over tolerance. */
export interface LifePoint {
  readonly day: number;
  readonly check: number;
  readonly asRead: number;
  /** With lot and bath taken away; null where that cannot be told. */
  readonly own: number | null;
  readonly used: boolean;
  readonly presentLife: boolean;
  /** More than 1: the mean of so many readings of neighbouring days. */
  readonly readings: number;
}

/** A service: a gate that the unit goes through; an adjusting one begins a life. */
export interface Gate {
  readonly day: number;
  readonly action: "adjusted" | "repaired" | "inspected";
}

/** The time during which one lot was in the cup. */
export interface LotSpell {
  readonly fluidLot: string;
  readonly fromDay: number;
  readonly toDay: number;
  /** null where the lot cannot be told from the units. */
  readonly errorPercent: number | null;
  readonly verdict: LotVerdict;
}

/** Older lives than this are in the table of checks only. */
const LONGEST_DAYS = 3 * 365.25;
/** More dots than this a band run into each other. */
const MOST_DOTS = 200;
const MOST_PATH_DAYS = 120;
const SMALLEST_REACH = 1.35;
/** Errors further out are drawn at the edge: one wild reading must not flatten the rest. */
const LARGEST_REACH = 3;

/** What the picture of the lives shows of a unit. */
export function livesOf(view: UnitView): Lives {
  const { forecast, readings, paths } = view;
  const asOfDay = dayOfIso(view.asOf);
  const dueDay = forecast.nextServiceDueDay;
  const fromDay = Math.max(readings[0]?.day ?? asOfDay - 90, asOfDay - LONGEST_DAYS);
  const lifeStartDay = presentLifeStart(view, asOfDay);
  const shown = readings.filter((reading) => reading.day >= fromDay);
  const states = new Map(lanesOf(forecast)?.map((lane) => [lane.band, lane.state]));
  const bands = BAND_NAMES.map(
    (band): BandLife => ({
      band,
      state: states.get(band) ?? "unjudged",
      points: condensePoints(
        shown.filter((reading) => reading.band === band).map((reading) => lifePoint(reading, lifeStartDay)),
        MOST_DOTS,
      ),
      past: paths === null ? null : condensePath(paths.past[band], MOST_PATH_DAYS),
      ahead: paths === null ? null : condensePath(paths.ahead[band], MOST_PATH_DAYS),
    }),
  );
  return {
    fromDay,
    toDay: Math.max(asOfDay, dueDay ?? asOfDay),
    asOfDay,
    dueDay,
    reach: reachOf(bands),
    bands,
    gates: view.services
      .map(({ servicedAt, action }) => ({ day: dayOfIso(servicedAt), action }))
      .filter(({ day }) => day >= fromDay && day <= asOfDay),
    lots: lotSpells(shown, view),
  };
}

/** First day of the present life: the last adjusting service, else the first reading. */
export function presentLifeStart(view: UnitView, asOfDay: number): number {
  const adjusting = view.services.findLast(
    ({ servicedAt, action }) => action !== "inspected" && dayOfIso(servicedAt) <= asOfDay,
  );
  return adjusting === undefined ? (view.readings[0]?.day ?? asOfDay) : dayOfIso(adjusting.servicedAt);
}

/** Whether a reading belongs to the life that began on a day: what was found before an adjustment does not. */
export function isOfLife({ day, stage }: UnitReading, lifeStartDay: number): boolean {
  if (Math.floor(day) === Math.floor(lifeStartDay)) return stage !== "as_found";
  return day > lifeStartDay;
}

function lifePoint(reading: UnitReading, lifeStartDay: number): LifePoint {
  const { day, check, errorWithoutSharedCauses: own, tolerance, errorOverTolerance, use } = reading;
  return {
    day,
    check,
    asRead: errorOverTolerance,
    own: own === null ? null : own / tolerance,
    used: use > 0,
    presentLife: isOfLife(reading, lifeStartDay),
    readings: 1,
  };
}

function reachOf(bands: readonly BandLife[]): number {
  let furthest = 0;
  for (const { points, ahead } of bands) {
    for (const point of points) furthest = Math.max(furthest, Math.abs(point.own ?? point.asRead));
    for (const path of [ahead?.p05 ?? [], ahead?.p95 ?? []]) {
      for (const value of path) furthest = Math.max(furthest, Math.abs(value));
    }
  }
  return Math.min(LARGEST_REACH, Math.max(SMALLEST_REACH, furthest * 1.06));
}

function lotSpells(readings: readonly UnitReading[], view: UnitView): LotSpell[] {
  const lots = new Map(view.lots.map((lot) => [lot.fluidLot, lot]));
  const spells: LotSpell[] = [];
  for (const { fluidLot, day } of readings) {
    if (fluidLot === null) continue;
    const last = spells.at(-1);
    if (last?.fluidLot === fluidLot) {
      spells[spells.length - 1] = { ...last, toDay: day };
      continue;
    }
    const lot = lots.get(fluidLot);
    const verdict = lot?.verdict ?? "unjudged";
    const errorPercent = lot === undefined || verdict === "unjudged" ? null : lot.errorPercent;
    spells.push({ fluidLot, fromDay: day, toDay: day, errorPercent, verdict });
  }
  return spells;
}
