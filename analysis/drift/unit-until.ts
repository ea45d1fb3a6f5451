import type { UnitChecks, UnitReadings } from "../fleet.ts";

/**
 * The unit as it was known with one of its readings.
 *
 * @param last Index of the reading; later ones are left out.
 * @param lifeStart Day that the reading's life began: later services are left out, the one that ended it too.
 */
export function asKnownWith(unit: UnitChecks, last: number, lifeStart: number): UnitChecks {
  return {
    ...unit,
    services: unit.services.filter(({ day }) => day <= lifeStart),
    readings: firstReadings(unit.readings, last + 1),
  };
}

/** The first `count` readings; the columns share their memory. */
export function firstReadings(readings: UnitReadings, count: number): UnitReadings {
  return {
    count,
    day: readings.day.subarray(0, count),
    check: readings.check.subarray(0, count),
    torque: readings.torque.subarray(0, count),
    error: readings.error.subarray(0, count),
    tolerance: readings.tolerance.subarray(0, count),
    lot: readings.lot.subarray(0, count),
    site: readings.site.subarray(0, count),
    geometry: readings.geometry.subarray(0, count),
    operator: readings.operator.subarray(0, count),
    temperatureOffset: readings.temperatureOffset.subarray(0, count),
    stage: readings.stage.subarray(0, count),
    use: readings.use.subarray(0, count),
  };
}

/** Up to `most` of a list, evenly, both ends included. */
export function spread<T>(list: readonly T[], most: number): T[] {
  if (list.length <= most) return [...list];
  return Array.from({ length: most }, (_, i) => list[Math.round((i * (list.length - 1)) / (most - 1))]!);
}
