import { assessFleet, FIGURES_FORM, type UnitState } from "../../analysis/index.ts";
import { type Store, StoreError } from "../../ingest/index.ts";
import { evenly } from "../evenly.ts";
import { settingsInForce } from "../settings-in-force.ts";
import { dayOfIso, isoOfDay } from "./days.ts";
import { fleetFigures } from "./fleet-figures.ts";
import { firstCheckDay } from "./forecast-record.ts";
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

/**
 * The fleet month by month; months that were worked out before from the same checks are kept.
 *
 * @param heed Is told how many months are done of how many.
 */
export async function fleetCourse(
  store: Store,
  asOf: string,
  heed: (done: number, of: number) => void = () => {},
): Promise<CourseMonth[]> {
  const ends = monthEndsBefore(asOf);
  const months: CourseMonth[] = [];
  for (const [done, end] of ends.entries()) {
    heed(done, ends.length);
    const month = await monthOf(store, end);
    if (month !== null) months.push(month);
  }
  return months;
}

async function monthOf(store: Store, end: string): Promise<CourseMonth | null> {
  const { settings } = await settingsInForce(store, end);
  const { fleet, columns } = await loadFleet(store, end, settings);
  if (!(firstCheckDay(fleet.units) <= dayOfIso(end))) return null;
  const basis = JSON.stringify({
    course: [COURSE_FORM, FIGURES_FORM, end],
    readings: columns.count,
    units: fleet.units.length,
    tolerance: settings.tolerance,
    temperature: settings.temperature,
  });
  const kept = await store.record(end, basis);
  if (kept !== null) return JSON.parse(kept.record) as CourseMonth;
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
