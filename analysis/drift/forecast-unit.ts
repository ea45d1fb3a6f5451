import type { UnitState as StateWord, UnitForecast, UnitPaths } from "../assessment.ts";
import { BAND_NAMES } from "../band.ts";
import type { FleetChecks, UnitChecks } from "../fleet.ts";
import { forecastBasis } from "./basis.ts";
import type { FleetFigures } from "./figures.ts";
import { followIn } from "./follow-unit.ts";
import { type ForecastContext, forecastContext } from "./forecast-context.ts";
import { type OutAhead, outAhead } from "./out-ahead.ts";
import { outlook, unjudged } from "./outlook.ts";
import { DAYS_A_YEAR } from "./time.ts";
import { type UnitPosterior, unitPosterior } from "./unit-posterior.ts";

/** From these probabilities on a unit is called so. */
const OUT = 0.5;
const HEADING_OUT = 0.5;
const LEANING = 0.2;

/**
 * Forecast of one unit with figures learnt before.
 *
 * @param fleet Gives the as-of day, the names that the unit's readings point to, and the tolerance; its other units
 *   are not looked at.
 * @returns Probabilities are null where the unit has no usable check at all; before its service, also where it is
 *   not known when that is.
 * @throws {AnalysisError} where the unit's figures cannot carry the method.
 */
export function forecastUnit(unit: UnitChecks, fleet: FleetChecks, figures: FleetFigures): UnitForecast {
  return forecastIn(forecastContext(fleet, figures), unit);
}

/**
 * Forecast of one unit, and its way through its present life and on to its service, as {@link forecastUnit} and
 * {@link followUnit} give them; null: it has no usable check.
 *
 * @throws {AnalysisError} where the unit's figures cannot carry the method.
 */
export function unitInFull(
  given: UnitChecks,
  fleet: FleetChecks,
  figures: FleetFigures,
): { readonly forecast: UnitForecast; readonly paths: UnitPaths | null } {
  const context = forecastContext(fleet, figures);
  const unit = withFiniteDue(given);
  const posterior = unitPosterior(context, unit);
  if (!posterior.wasEverChecked) {
    return { forecast: unjudged(unit, fleet, "It has no usable check yet."), paths: null };
  }
  const ahead = outAhead(context, unit, posterior);
  return {
    forecast: forecastFrom(context, unit, posterior, ahead),
    paths: followIn(context, unit, posterior, ahead),
  };
}

/** The forecast within a context that serves many units. */
export function forecastIn(context: ForecastContext, given: UnitChecks): UnitForecast {
  const { fleet } = context;
  const unit = withFiniteDue(given);
  const posterior = unitPosterior(context, unit);
  if (!posterior.wasEverChecked) return unjudged(unit, fleet, "It has no usable check yet.");
  return forecastFrom(context, unit, posterior, outAhead(context, unit, posterior));
}

/** What follows from what was found of a unit that has been checked. */
function forecastFrom(
  context: ForecastContext,
  unit: UnitChecks,
  posterior: UnitPosterior,
  ahead: OutAhead,
): UnitForecast {
  const { outBy, atService, firstBand } = ahead;
  const isDueKnown = unit.nextServiceDueDay !== null;
  const pOutNow = outBy[0]!;
  const pOutBeforeService = isDueKnown ? outBy[atService]! : null;
  const band = BAND_NAMES[firstBand.indexOf(Math.max(...firstBand))]!;
  const dayBy = (p: number) => dayOutBy(ahead, posterior.stateDay, p);
  return {
    instrument: unit.instrument,
    site: unit.site,
    nextServiceDueDay: unit.nextServiceDueDay,
    pOutNow,
    pOutBeforeService,
    outOn: { p05: dayBy(0.05), p50: dayBy(0.5), p95: dayBy(0.95) },
    band,
    ...outlook(context, unit, posterior, ahead),
    state: stateWord(pOutNow, pOutBeforeService ?? pOutNow),
    note: noteFor(posterior.life.checks, isDueKnown),
    basis: forecastBasis(context, unit, posterior, ahead, band),
  };
}

function withFiniteDue(unit: UnitChecks): UnitChecks {
  const day = unit.nextServiceDueDay;
  return { ...unit, nextServiceDueDay: day !== null && Number.isFinite(day) ? day : null };
}

function stateWord(now: number, beforeService: number): StateWord {
  if (now > OUT) return "out";
  if (beforeService >= HEADING_OUT) return "heading-out";
  return beforeService >= LEANING ? "leaning" : "steady";
}

function noteFor(checks: number, isDueKnown: boolean): string | null {
  const notes = [
    ...(checks === 0 ? ["No check since the last service: judged by its earlier lives and the fleet."] : []),
    ...(isDueKnown
      ? []
      : ["No date of its next service is known, so nothing can be said about the time up to it."]),
  ];
  return notes.length > 0 ? notes.join(" ") : null;
}

/** Day by which the unit has left tolerance with probability p; null where the simulated time does not reach it. */
function dayOutBy({ times, outBy }: OutAhead, stateDay: number, p: number): number | null {
  const g = outBy.findIndex((chance) => chance >= p);
  if (g < 0) return null;
  const dayAt = (years: number) => stateDay + DAYS_A_YEAR * years;
  if (g === 0) return dayAt(times[0]!);
  const share = (p - outBy[g - 1]!) / (outBy[g]! - outBy[g - 1]!);
  return dayAt(times[g - 1]! + share * (times[g]! - times[g - 1]!));
}
