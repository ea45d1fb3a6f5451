import type { FleetFigures } from "../drift/figures.ts";
import { forecastContext } from "../drift/forecast-context.ts";
import { outAhead } from "../drift/out-ahead.ts";
import { DAYS_A_YEAR } from "../drift/time.ts";
import { unitPosterior } from "../drift/unit-posterior.ts";
import { AnalysisError } from "../errors.ts";
import { type FleetChecks, USE } from "../fleet.ts";

/** How likely a unit is to have left tolerance by the times that its forecast simulates. */
export interface RiskCourse {
  /** Day that the years count from. */
  readonly fromDay: number;
  /** Rising. */
  readonly years: readonly number[];
  readonly outBy: readonly number[];
}

/**
 * How likely each unit is to have left tolerance as time goes on, by its forecast.
 *
 * @returns Per unit of the fleet, in its order; null where the unit cannot be judged.
 */
export function riskCourses(fleet: FleetChecks, figures: FleetFigures): (RiskCourse | null)[] {
  const context = forecastContext(fleet, figures);
  return fleet.units.map((unit) => {
    if (!unit.readings.use.some((use) => use !== USE.shownOnly)) return null;
    try {
      const posterior = unitPosterior(context, unit);
      const { times, outBy } = outAhead(context, unit, posterior);
      return { fromDay: posterior.stateDay, years: [...times], outBy: [...outBy] };
    } catch (error) {
      if (!(error instanceof AnalysisError)) throw error;
      return null;
    }
  });
}

/**
 * A course at some days: on the line between the times before and after, level beyond the ends.
 *
 * @param days Rising. Unit: days since 1970-01-01 UTC.
 */
export function riskOn({ fromDay, years, outBy }: RiskCourse, days: readonly number[]): Float64Array {
  let right = 0;
  return Float64Array.from(days, (day) => {
    const x = (day - fromDay) / DAYS_A_YEAR;
    while (right < years.length && !(years[right]! >= x)) right++;
    if (right === 0) return outBy[0]!;
    if (right === years.length) return outBy[right - 1]!;
    const share = (x - years[right - 1]!) / (years[right]! - years[right - 1]!);
    return outBy[right - 1]! + share * (outBy[right]! - outBy[right - 1]!);
  });
}
