import type { FleetAssessment, UnitForecast } from "./assessment.ts";
import { assessBaths, assessLots } from "./drift/assess-shared.ts";
import type { FleetFigures } from "./drift/figures.ts";
import { fitFleet } from "./drift/fit-fleet.ts";
import { forecastContext } from "./drift/forecast-context.ts";
import { forecastIn } from "./drift/forecast-unit.ts";
import { unjudged } from "./drift/outlook.ts";
import { AnalysisError } from "./errors.ts";
import type { FleetChecks, UnitChecks } from "./fleet.ts";

/**
 * Assesses a whole fleet: every unit's forecast, every lot and bath.
 *
 * @param figures Learnt before; fitted to this fleet where left out.
 * @returns Units likeliest to leave tolerance first; one that cannot be judged stands last, with a note, and never
 *   stops the others.
 */
export function assessFleet(fleet: FleetChecks, figures: FleetFigures = fitFleet(fleet)): FleetAssessment {
  return assessmentOf(fleet, figures, forecastUnits(fleet, figures));
}

/**
 * The forecasts of units, in their order.
 *
 * @remarks A unit's forecast does not depend on the others: a fleet may be shared out among threads, unit by unit.
 *
 * @param units Of the fleet; all of them where left out.
 */
export function forecastUnits(
  fleet: FleetChecks,
  figures: FleetFigures,
  units: Iterable<UnitChecks> = fleet.units,
): UnitForecast[] {
  const context = forecastContext(fleet, figures);
  return Array.from(units, (unit): UnitForecast => {
    try {
      return forecastIn(context, unit);
    } catch (error) {
      // Anything else is a defect and is not to be hidden.
      if (!(error instanceof AnalysisError)) throw error;
      return unjudged(unit, fleet, `It cannot be judged: ${error.message}.`);
    }
  });
}

/** All units' forecasts, in any order, with every lot and bath: the same as {@link assessFleet}. */
export function assessmentOf(
  fleet: FleetChecks,
  figures: FleetFigures,
  forecasts: readonly UnitForecast[],
): FleetAssessment {
  return {
    asOfDay: fleet.asOfDay,
    figuresAsOfDay: figures.asOfDay,
    units: likeliestFirst(forecasts),
    lots: assessLots(fleet, figures),
    baths: assessBaths(fleet, figures),
  };
}

/** Units in the order of an assessment: the likeliest to leave tolerance first, those that cannot be judged last. */
export function likeliestFirst(forecasts: readonly UnitForecast[]): UnitForecast[] {
  return [...forecasts].sort(byRisk);
}

function byRisk(a: UnitForecast, b: UnitForecast): number {
  const risk = (unit: UnitForecast) => unit.pOutBeforeService ?? unit.pOutNow ?? -1;
  return risk(b) - risk(a) || (a.instrument < b.instrument ? -1 : 1);
}
