import type { FleetFigures } from "../drift/figures.ts";
import { AnalysisError } from "../errors.ts";
import type { FleetChecks, UnitChecks } from "../fleet.ts";
import { cutLives } from "../life.ts";
import { serviceFindings } from "./service-findings.ts";
import { type SinceWhen, sinceWhen } from "./since-when.ts";

/** A unit that was found out of tolerance: by a service, or by its latest checks. */
export interface FoundOut {
  readonly instrument: string;
  readonly site: string | null;
  /** Day of the service that found it; null: its latest checks did. */
  readonly servicedDay: number | null;
  /** Where its checks did: day of the service that began the present life; null where none is known. */
  readonly lifeFromDay: number | null;
  /** Day of the check that shows it. */
  readonly foundDay: number;
  /** Largest error over tolerance of that check, as read. */
  readonly worst: number;
}

/**
 * Every unit found out of tolerance from a day on, the latest first.
 *
 * @param outNow Units that the forecast calls out now.
 */
export function foundOut(fleet: FleetChecks, outNow: ReadonlySet<string>, fromDay: number): FoundOut[] {
  const found = fleet.units.flatMap((unit): FoundOut[] => {
    const { instrument, site, readings } = unit;
    const byServices = serviceFindings(unit)
      .filter(({ wasSound, servicedDay }) => !wasSound && servicedDay >= fromDay)
      .map(({ servicedDay, worst }) => ({
        instrument,
        site,
        servicedDay,
        lifeFromDay: null,
        foundDay: servicedDay,
        worst,
      }));
    const last = readings.count - 1;
    if (!outNow.has(instrument) || last < 0) return byServices;
    let worst = 0;
    for (let i = last; i >= 0 && readings.check[i] === readings.check[last]; i--) {
      worst = Math.max(worst, Math.abs(readings.error[i]! / readings.tolerance[i]!));
    }
    const lifeFromDay = cutLives(readings, unit.services).at(-1)!.fromDay;
    const foundDay = readings.day[last]!;
    return [...byServices, { instrument, site, servicedDay: null, lifeFromDay, foundDay, worst }];
  });
  return found.sort(latestFoundFirst);
}

/** Order of a list of units found out. */
export function latestFoundFirst(a: FoundOut, b: FoundOut): number {
  return b.foundDay - a.foundDay || (a.instrument < b.instrument ? -1 : 1);
}

/**
 * Since when the unit had been out when it was found; null where its checks cannot tell.
 *
 * @param servicedDay The service that found it; null: its present life is looked back over.
 */
export function sinceWhenFound(
  unit: UnitChecks,
  servicedDay: number | null,
  fleet: FleetChecks,
  figures: FleetFigures,
): SinceWhen | null {
  try {
    return sinceWhen(servicedDay === null ? unit : unitBefore(unit, servicedDay), fleet, figures);
  } catch (error) {
    if (!(error instanceof AnalysisError)) throw error;
    return null;
  }
}

/** The unit as it was known when a service found it: what came with and after the adjustment is left out. */
function unitBefore(unit: UnitChecks, servicedDay: number): UnitChecks {
  const lives = cutLives(unit.readings, unit.services);
  const kept = lives.filter(({ toDay }) => toDay !== null && toDay <= servicedDay);
  const indices = Int32Array.from(kept.flatMap((life) => [...life.readings])).sort();
  const columns = Object.entries(unit.readings).map(([name, column]) => [
    name,
    typeof column === "number" ? indices.length : picked(column, indices),
  ]);
  return {
    ...unit,
    services: unit.services.filter(({ day }) => Math.floor(day) < servicedDay),
    readings: Object.fromEntries(columns) as UnitChecks["readings"],
  };
}

function picked<Column extends Float64Array | Int32Array | Uint8Array>(
  column: Column,
  indices: Int32Array,
): Column {
  const rows = new (column.constructor as new (length: number) => Column)(indices.length);
  indices.forEach((i, k) => {
    rows[k] = column[i]!;
  });
  return rows;
}
