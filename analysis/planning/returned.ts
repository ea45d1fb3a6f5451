import type { FleetFigures } from "../drift/figures.ts";
import { type ForecastContext, forecastContext } from "../drift/forecast-context.ts";
import { forecastIn } from "../drift/forecast-unit.ts";
import { firstReadings } from "../drift/unit-until.ts";
import { AnalysisError } from "../errors.ts";
import { type FleetChecks, STAGES, type UnitChecks, USE } from "../fleet.ts";
import { cutLives } from "../life.ts";
import { serviceFindings } from "./service-findings.ts";

/** A unit that came back from a service: what was forecast, what was found, how it was left. */
export interface ReturnedUnit {
  readonly instrument: string;
  readonly site: string | null;
  readonly servicedDay: number;
  /** Probability to have left tolerance, told the day before; null: it could not be judged. */
  readonly forecast: number | null;
  readonly wasSound: boolean;
  /** Largest error over tolerance as found, and as left (null: no as-left check). As read. */
  readonly asFound: number;
  readonly asLeft: number | null;
}

const AS_LEFT = STAGES.indexOf("as_left");
const AS_FOUND = STAGES.indexOf("as_found");

/** The same before it is forecast. */
export type FoundReturn = Omit<ReturnedUnit, "forecast">;

/**
 * Units serviced since a day, the latest first and at most so many, forecast against finding.
 *
 * @remarks Each forecast uses the unit's checks up to the day before its service, without the as-found check; lots,
 * baths and the fleet's figures are those of the present fit.
 */
export function returnedUnits(
  fleet: FleetChecks,
  figures: FleetFigures,
  fromDay: number,
  atMost: number,
): ReturnedUnit[] {
  const returns = fleet.units.flatMap((unit) => foundReturns(unit, fromDay));
  return forecastReturns(fleet, figures, latestReturns(returns, atMost));
}

/** What the services of a unit since a day found, and how they left it. */
export function foundReturns(unit: UnitChecks, fromDay: number): FoundReturn[] {
  return serviceFindings(unit)
    .filter(({ servicedDay }) => servicedDay >= fromDay)
    .map(({ servicedDay, wasSound, worst }) => ({
      instrument: unit.instrument,
      site: unit.site,
      servicedDay,
      wasSound,
      asFound: worst,
      asLeft: worstAsLeft(unit, servicedDay),
    }));
}

/** The latest first, at most so many. */
export function latestReturns<Return extends FoundReturn>(
  returns: readonly Return[],
  atMost: number,
): Return[] {
  return returns
    .toSorted((a, b) => b.servicedDay - a.servicedDay || (a.instrument < b.instrument ? -1 : 1))
    .slice(0, atMost);
}

/** With what was forecast of each the day before. @param fleet Holds their units. */
export function forecastReturns(
  fleet: FleetChecks,
  figures: FleetFigures,
  returns: readonly FoundReturn[],
): ReturnedUnit[] {
  const context = forecastContext(fleet, figures);
  const unitOf = new Map(fleet.units.map((unit) => [unit.instrument, unit]));
  return returns.map((found) => ({
    ...found,
    forecast: forecastBefore(unitOf.get(found.instrument)!, found.servicedDay, context),
  }));
}

function forecastBefore(unit: UnitChecks, servicedDay: number, context: ForecastContext): number | null {
  const { readings } = unit;
  // The as-found check is the finding itself, also where it was made a day or two before.
  const firstLater = readings.day.findIndex(
    (day, i) => day >= servicedDay || (readings.stage[i] === AS_FOUND && day >= servicedDay - 14),
  );
  const known: UnitChecks = {
    ...unit,
    services: unit.services.filter(({ day }) => Math.floor(day) < servicedDay),
    nextServiceDueDay: servicedDay,
    readings: firstReadings(readings, firstLater < 0 ? readings.count : firstLater),
  };
  try {
    const then = { ...context, fleet: { ...context.fleet, asOfDay: servicedDay - 1 } };
    return forecastIn(then, known).pOutBeforeService;
  } catch (error) {
    if (!(error instanceof AnalysisError)) throw error;
    return null;
  }
}

function worstAsLeft({ readings, services }: UnitChecks, servicedDay: number): number | null {
  const life = cutLives(readings, services).find(({ fromDay }) => fromDay === servicedDay);
  const errors = [...(life?.readings ?? [])]
    .filter((i) => readings.stage[i] === AS_LEFT && readings.use[i] !== USE.shownOnly)
    .map((i) => Math.abs(readings.error[i]! / readings.tolerance[i]!));
  return errors.length > 0 ? Math.max(...errors) : null;
}
