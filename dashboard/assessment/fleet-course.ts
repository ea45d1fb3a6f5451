import { assessFleet, FIGURES_FORM, type FleetChecks, type UnitState } from "../../analysis/index.ts";
import { type Store, StoreError } from "../../ingest/index.ts";
import { evenly } from "../evenly.ts";
import { settingsInForce } from "../settings-in-force.ts";
import { dayOfIso, isoOfDay } from "./days.ts";
import { fleetFigures } from "./fleet-figures.ts";
import { loadFleet } from "./load-fleet.ts";

/** So many months are looked back. */
const MONTHS = 12;

/** So many units, evenly chosen, show the course of a large fleet. */
const MOST_UNITS = 400;

/** Counts up when months of an earlier form may no longer be used. */
const COURSE_FORM = 1;

/** Where the units stood at the end of a month, and what their forecasts said, with what was known then. */
export interface CourseMonth {
  /** ISO day. */
  readonly asOf: string;
  readonly units: readonly CourseUnit[];
}

export interface CourseUnit {
  readonly instrument: string;
  readonly state: UnitState;
  /** Probability to leave tolerance before the service that was due then; null: not judged. */
  readonly chance: number | null;
  readonly dueDay: number | null;
}

/** The last days of the twelve months before the one that a day is in, oldest first. */
export function monthEndsBefore(asOf: string): string[] {
  const [year, month] = asOf.split("-").map(Number) as [number, number];
  return Array.from({ length: MONTHS }, (_, i) =>
    new Date(Date.UTC(year, month - 1 - (MONTHS - 1 - i), 0)).toISOString().slice(0, 10),
  );
}

/** How many readings of each unit there were by the end of each of some days, by instrument. */
export function readingsUntil(
  { units }: FleetChecks,
  ends: readonly string[],
): ReadonlyMap<string, readonly number[]> {
  return new Map(
    units.map(({ instrument, readings }) => [
      instrument,
      ends.map((end) => {
        const later = readings.day.findIndex((day) => day >= dayOfIso(end) + 1);
        return later < 0 ? readings.count : later;
      }),
    ]),
  );
}

/**
 * The fleet month by month; months that were worked out before from the same checks are kept.
 *
 * @param ends Last days of the months, oldest first.
 * @param readings By month: how many there were by its end.
 * @param heed Is told how many months are done of how many.
 */
export async function fleetCourse(
  store: Store,
  ends: readonly string[],
  readings: readonly number[],
  heed: (done: number, of: number) => void = () => {},
): Promise<CourseMonth[]> {
  const months: CourseMonth[] = [];
  for (const [done, end] of ends.entries()) {
    heed(done, ends.length);
    if (readings[done]! > 0) months.push(await monthOf(store, end, readings[done]!));
  }
  return months;
}

async function monthOf(store: Store, end: string, readings: number): Promise<CourseMonth> {
  const { settings } = await settingsInForce(store, end);
  const basis = JSON.stringify({
    course: [COURSE_FORM, FIGURES_FORM, end],
    readings,
    units: (await store.instruments()).length,
    tolerance: settings.tolerance,
    temperature: settings.temperature,
  });
  const kept = await store.record(end, basis);
  if (kept !== null) return JSON.parse(kept.record) as CourseMonth;
  const { fleet } = await loadFleet(store, end, settings);
  const figures = await fleetFigures(store, end, settings, fleet);
  const { units } = assessFleet({ ...fleet, units: evenly(fleet.units, MOST_UNITS) }, figures);
  const month: CourseMonth = {
    asOf: isoOfDay(fleet.asOfDay),
    units: units.map(({ instrument, state, pOutBeforeService, nextServiceDueDay }) => ({
      instrument,
      state,
      chance: pOutBeforeService,
      dueDay: nextServiceDueDay,
    })),
  };
  await keep(store, end, basis, month);
  return month;
}

/** Where another process is writing, the next look keeps it. */
async function keep(store: Store, asOf: string, basis: string, month: CourseMonth): Promise<void> {
  try {
    await store.keepRecord({ asOf, basis, revision: await store.revision(), record: JSON.stringify(month) });
  } catch (error) {
    if (!(error instanceof StoreError && error.code === "store-locked")) throw error;
  }
}
