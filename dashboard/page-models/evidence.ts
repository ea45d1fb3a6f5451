import type { BandName, PatternName, StepFound, UnitForecast } from "../../analysis/index.ts";
import { BAND_NAMES, DEPARTURE_PER_CURVATURE } from "../../analysis/index.ts";
import { dayOfIso } from "../assessment/days.ts";
import type { StandingJudgement } from "../assessment/judgements.ts";
import type { UnitReading, UnitView } from "../assessment/views.ts";
import { causeBetween, type Happening, happenedBetween } from "./around.ts";
import { isOfLife, presentLifeStart } from "./lives.ts";
import { type NextStep, nextStep } from "./next-step.ts";

/** What the figures say about a unit: facts, in the order in which they are told; the words are in wording/evidence.ts. */
export interface Evidence {
  readonly explanations: readonly { readonly name: string; readonly weight: number }[];
  readonly forIt: readonly Fact[];
  readonly notKnown: readonly Gap[];
  /** The latest used check, band by band; empty where there is none. */
  readonly latestCheck: readonly WithoutShared[];
  readonly step: NextStep;
  /** The unit stays inside tolerance until then with 95 %; null: no such day within ten years. */
  readonly safeUntilDay: number | null;
  readonly out: boolean;
  /** null: no service date is registered. */
  readonly dueDay: number | null;
}

/** A band of one check as read, and what an average lot and a perfect bath would have made of it. Errors over tolerance. */
export interface WithoutShared {
  readonly band: BandName;
  readonly day: number;
  readonly asRead: number;
  readonly own: number;
  /** By all its checks, today. */
  readonly now: number;
}

export type Fact =
  | {
      readonly kind: "shape";
      readonly pattern: PatternName;
      readonly now: number;
      readonly sd: number;
      readonly perYear: number;
    }
  | {
      readonly kind: "step";
      readonly step: StepFound;
      readonly happened: readonly Happening[];
      readonly settled: StandingJudgement | null;
    }
  | { readonly kind: "second-fluid"; readonly outcome: "same" | "differs"; readonly lots: readonly string[] }
  | { readonly kind: "checks"; readonly checks: number; readonly lots: number; readonly leftOut: number }
  | { readonly kind: "charts"; readonly bands: readonly BandBeyond[] }
  | { readonly kind: "shared-removed"; readonly percentOfReading: number }
  | { readonly kind: "alone"; readonly chance: number; readonly chanceAlone: number };

/** Checks beyond the frozen limits of one band, of those since the limits were set. */
export interface BandBeyond {
  readonly band: BandName;
  readonly beyond: number;
  readonly of: number;
  readonly sinceDay: number;
}

export type Gap =
  | { readonly kind: "one-geometry"; readonly geometry: string }
  | { readonly kind: "one-lot"; readonly fluidLot: string }
  | { readonly kind: "lot-unjudged"; readonly fluidLot: string }
  | { readonly kind: "few-checks"; readonly checks: number; readonly fleetWeight: number }
  | { readonly kind: "note"; readonly note: string }
  | { readonly kind: "friction" }
  | { readonly kind: "second-fluid" }
  | { readonly kind: "no-due-date" };

/** From this share on it is the fleet's experience, and not the unit's own checks, that sets the drift rate. */
const MOSTLY_THE_FLEET = 0.5;
/** Smaller shared errors than this are not worth a sentence. Unit: % of reading. */
const WORTH_TELLING_PERCENT = 0.3;
/** A forecast from the unit's own checks alone that differs less than this says nothing new. */
const WORTH_TELLING_CHANCE = 0.1;
const SHOWN_EXPLANATIONS = 3;

/** The facts for and against, from one unit's view. */
export function evidenceOf(view: UnitView): Evidence {
  const { forecast } = view;
  const asOfDay = dayOfIso(view.asOf);
  const lifeStartDay = presentLifeStart(view, asOfDay);
  const inLife = view.readings.filter((reading) => reading.use > 0 && isOfLife(reading, lifeStartDay));
  const lots = distinct(inLife.map((reading) => reading.fluidLot));
  const geometries = distinct(inLife.map((reading) => reading.geometry));
  return {
    explanations: (forecast.basis?.explanations ?? []).slice(0, SHOWN_EXPLANATIONS),
    forIt: [...shapeFacts(view), ...basisFacts(forecast, lots.length), ...chartFacts(view)],
    notKnown: gaps(view, lots, geometries),
    latestCheck: latestWithoutShared(inLife, forecast),
    step: nextStep(forecast, asOfDay),
    safeUntilDay: forecast.state === "out" ? null : forecast.outOn.p05,
    out: forecast.state === "out",
    dueDay: forecast.nextServiceDueDay,
  };
}

function shapeFacts(view: UnitView): Fact[] {
  const { shape, pattern, steps } = view.forecast;
  const facts: Fact[] = steps.map((step) => ({
    kind: "step",
    step,
    happened: happenedBetween(view, ...step.betweenDays),
    settled: causeBetween(view, ...step.betweenDays),
  }));
  const { secondFluid } = view.linearity;
  if (pattern.name === "curvature" && secondFluid !== null && secondFluid.outcome !== "undecided") {
    facts.unshift({ kind: "second-fluid", outcome: secondFluid.outcome, lots: secondFluid.lots });
  }
  const component =
    pattern.name === "zero" ||
    pattern.name === "span" ||
    pattern.name === "curvature" ||
    pattern.name === "friction"
      ? pattern.name
      : null;
  const found = component === null ? null : (shape?.[component] ?? null);
  if (found === null) return facts;
  // Told as the table and the charts tell it: what the middle departs by, not the coefficient behind it.
  const scale = pattern.name === "curvature" ? DEPARTURE_PER_CURVATURE : 1;
  return [
    {
      kind: "shape",
      pattern: pattern.name,
      now: scale * found.now,
      sd: Math.abs(scale) * found.sd,
      perYear: scale * found.perYear,
    },
    ...facts,
  ];
}

function basisFacts({ basis, pOutBeforeService }: UnitForecast, lots: number): Fact[] {
  if (basis === null) return [];
  const facts: Fact[] = [{ kind: "checks", checks: basis.checksUsed, lots, leftOut: basis.checksLeftOut }];
  if (Math.abs(basis.sharedErrorRemoved) >= WORTH_TELLING_PERCENT) {
    facts.push({ kind: "shared-removed", percentOfReading: basis.sharedErrorRemoved });
  }
  const alone = basis.pOutBeforeServiceAlone;
  if (
    alone !== null &&
    pOutBeforeService !== null &&
    Math.abs(alone - pOutBeforeService) >= WORTH_TELLING_CHANCE
  ) {
    facts.push({ kind: "alone", chance: pOutBeforeService, chanceAlone: alone });
  }
  return facts;
}

function chartFacts({ charts }: UnitView): Fact[] {
  const found = charts.flatMap(({ quantity, points, baselineToDay }) => {
    const band = BAND_NAMES.find((name) => name === quantity);
    if (band === undefined) return [];
    const after = points.filter((point) => point.day > baselineToDay);
    const beyond = after.filter((point) => point.beyond);
    const first = beyond[0];
    return first === undefined
      ? []
      : [{ band, beyond: beyond.length, of: after.length, sinceDay: first.day }];
  });
  return found.length === 0 ? [] : [{ kind: "charts", bands: found }];
}

/** One row a band: the means of its readings in the latest check. */
function latestWithoutShared(inLife: readonly UnitReading[], { bands }: UnitForecast): WithoutShared[] {
  const last = inLife.at(-1);
  if (last === undefined || bands === null) return [];
  const mean = (values: readonly number[]): number => values.reduce((sum, v) => sum + v, 0) / values.length;
  return BAND_NAMES.flatMap((band) => {
    const readings = inLife.filter((reading) => reading.check === last.check && reading.band === band);
    const own = readings.flatMap(({ errorWithoutSharedCauses, tolerance }) =>
      errorWithoutSharedCauses === null ? [] : [errorWithoutSharedCauses / tolerance],
    );
    if (own.length === 0) return [];
    const asRead = mean(readings.map(({ errorOverTolerance }) => errorOverTolerance));
    return [{ band, day: last.day, asRead, own: mean(own), now: bands[band].now }];
  });
}

function gaps(view: UnitView, lots: readonly string[], geometries: readonly string[]): Gap[] {
  const { forecast } = view;
  const { basis, shape, state } = forecast;
  // An unjudged unit has its note in place of a finding.
  const found: Gap[] =
    forecast.note === null || state === "unjudged" ? [] : [{ kind: "note", note: forecast.note }];
  const spanMoves = forecast.pattern.name === "span" && state !== "steady";
  if (spanMoves && geometries.length === 1) found.push({ kind: "one-geometry", geometry: geometries[0]! });
  if (spanMoves && lots.length === 1) found.push({ kind: "one-lot", fluidLot: lots[0]! });
  for (const { fluidLot, verdict } of view.lots) {
    if (verdict === "unjudged" && lots.includes(fluidLot)) found.push({ kind: "lot-unjudged", fluidLot });
  }
  if (basis !== null && basis.fleetWeight >= MOSTLY_THE_FLEET) {
    found.push({ kind: "few-checks", checks: basis.checksUsed, fleetWeight: basis.fleetWeight });
  }
  const { secondFluid } = view.linearity;
  if (forecast.pattern.name === "curvature" && (secondFluid === null || secondFluid.outcome === "undecided"))
    found.push({ kind: "second-fluid" });
  if (shape !== null && shape.friction === null && forecast.pattern.name === "zero")
    found.push({ kind: "friction" });
  if (forecast.nextServiceDueDay === null) found.push({ kind: "no-due-date" });
  return found;
}

function distinct(names: readonly (string | null)[]): string[] {
  return [...new Set(names.filter((name) => name !== null))];
}
