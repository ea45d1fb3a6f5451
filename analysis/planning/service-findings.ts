import { STAGES, type UnitChecks, USE } from "../fleet.ts";
import { cutLives, type Life } from "../life.ts";
import type { Finding } from "./reliability-fit.ts";

/** What an adjusting service found: how long the unit had been in use, and whether it still was within tolerance. */
export interface ServiceFinding {
  readonly servicedDay: number;
  /** Time since the service before. Unit: days. */
  readonly days: number;
  readonly wasSound: boolean;
  /** Largest error over tolerance of the readings that say so. */
  readonly worst: number;
}

/** Without an as-found check, the last check may stand for it if it is no older than this. Unit: days. */
const STANDS_FOR_AS_FOUND = 31;

const AS_FOUND = STAGES.indexOf("as_found");

/**
 * What the services of a unit found, oldest first, by its readings as they were.
 *
 * @remarks Lives that began before the records tell nothing about an interval, nor do services without a check at or
 * shortly before them: they are left out.
 */
export function serviceFindings(unit: UnitChecks): ServiceFinding[] {
  return cutLives(unit.readings, unit.services).flatMap((life) => {
    const { fromDay, toDay } = life;
    if (fromDay === null || toDay === null || toDay <= fromDay) return [];
    const worst = worstAsFound(unit, life, toDay);
    if (worst === null) return [];
    return [{ servicedDay: toDay, days: toDay - fromDay, wasSound: worst <= 1, worst }];
  });
}

function worstAsFound({ readings }: UnitChecks, life: Life, toDay: number): number | null {
  const usable = life.readings.filter((i) => readings.use[i] !== USE.shownOnly);
  const asFound = usable.filter((i) => readings.stage[i] === AS_FOUND);
  const last = usable.at(-1);
  if (asFound.length === 0 && (last === undefined || toDay - readings.day[last]! > STANDS_FOR_AS_FOUND)) {
    return null;
  }
  const telling =
    asFound.length > 0 ? asFound : usable.filter((i) => readings.check[i] === readings.check[last!]);
  return Math.max(...Array.from(telling, (i) => Math.abs(readings.error[i]! / readings.tolerance[i]!)));
}

/** The same for a reliability model: a unit found out left tolerance at some time since the service before. */
export function asFinding({ days, wasSound }: ServiceFinding): Finding {
  return wasSound ? { from: days, to: Number.POSITIVE_INFINITY } : { from: 0, to: days };
}
