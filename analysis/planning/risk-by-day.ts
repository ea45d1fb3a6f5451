import type { FleetFigures } from "../drift/figures.ts";
import { forecastContext } from "../drift/forecast-context.ts";
import { outAhead } from "../drift/out-ahead.ts";
import { DAYS_A_YEAR } from "../drift/time.ts";
import { unitPosterior } from "../drift/unit-posterior.ts";
import { AnalysisError } from "../errors.ts";
import { type FleetChecks, USE } from "../fleet.ts";

/**
 * How likely each unit is to have left tolerance by each of some days, by its forecast.
 *
 * @param days Rising, none before the as-of day. Unit: days since 1970-01-01 UTC.
 * @returns Per unit of the fleet, in its order, a value for each day; null where the unit cannot be judged.
 * @remarks Between the days that the forecast simulates, values are joined by straight lines.
 */
export function riskByDay(
  fleet: FleetChecks,
  figures: FleetFigures,
  days: readonly number[],
): (Float64Array | null)[] {
  const context = forecastContext(fleet, figures);
  return fleet.units.map((unit) => {
    if (!unit.readings.use.some((use) => use !== USE.shownOnly)) return null;
    try {
      const posterior = unitPosterior(context, unit);
      const { times, outBy } = outAhead(context, unit, posterior);
      return Float64Array.from(days, (day) =>
        interpolated(times, outBy, (day - posterior.stateDay) / DAYS_A_YEAR),
      );
    } catch (error) {
      if (!(error instanceof AnalysisError)) throw error;
      return null;
    }
  });
}

/** The value at x on the line through points of rising abscissa; level beyond its ends. */
function interpolated(at: Float64Array, value: Float64Array, x: number): number {
  const right = at.findIndex((t) => t >= x);
  if (right === 0) return value[0]!;
  if (right < 0) return value[value.length - 1]!;
  const share = (x - at[right - 1]!) / (at[right]! - at[right - 1]!);
  return value[right - 1]! + share * (value[right]! - value[right - 1]!);
}
