import {
  type FleetChecks,
  type FleetFigures,
  type FoundReturn,
  foundReturns,
  type IntervalFacts,
  intervalFacts,
  type RiskCourse,
  riskCourses,
} from "../../analysis/index.ts";

/** Units serviced within this time are listed as having returned. Unit: days. */
const LOOK_BACK_DAYS = 366;

/** What plans and intervals are made from, of one unit. */
export interface UnitAhead {
  readonly facts: IntervalFacts;
  /** How likely it is to have left tolerance as time goes on; null where it cannot be judged. */
  readonly course: RiskCourse | null;
  /** The geometry that it was last checked with. */
  readonly geometry: string | null;
  readonly lastCheckDay: number | null;
  /** What its services of the last year found. */
  readonly returns: readonly FoundReturn[];
}

/** @returns By instrument, in the order of the fleet. */
export function unitsAhead(fleet: FleetChecks, figures: FleetFigures): ReadonlyMap<string, UnitAhead> {
  const courses = riskCourses(fleet, figures);
  return new Map(
    fleet.units.map((unit, i): [string, UnitAhead] => {
      const { readings } = unit;
      const last = readings.count - 1;
      return [
        unit.instrument,
        {
          facts: intervalFacts(unit),
          course: courses[i]!,
          geometry: fleet.geometries[readings.geometry[last] ?? -1] ?? null,
          lastCheckDay: readings.day[last] ?? null,
          returns: foundReturns(unit, fleet.asOfDay - LOOK_BACK_DAYS),
        },
      ];
    }),
  );
}
