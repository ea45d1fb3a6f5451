import { type FleetFigures, type ReturnedUnit, returnedUnits, riskByDay } from "../../analysis/index.ts";
import type { Store } from "../../ingest/index.ts";
import type { Settings } from "../settings.ts";
import { fleetFigures } from "./fleet-figures.ts";
import { isoWeekOf, mondayOf } from "./iso-weeks.ts";
import { bookingsStanding } from "./kept-bookings.ts";
import { loadFleet } from "./load-fleet.ts";

/** What a return plan is made from: plain data, so that it can be kept and cross between threads. */
export interface ReturnsInput {
  readonly asOfDay: number;
  readonly weeks: readonly PlanningWeek[];
  readonly units: readonly ReturnsUnit[];
  /** Units serviced within the last year, the latest first. */
  readonly returned: readonly ReturnedUnit[];
}

export interface PlanningWeek {
  /** Like "2026-W14". */
  readonly name: string;
  /** The day on which units leave: its Monday, or the as-of day in the week that holds it. */
  readonly firstDay: number;
}

export interface ReturnsUnit {
  readonly instrument: string;
  readonly site: string | null;
  readonly modelClass: string | null;
  /** The geometry that it was last checked with. */
  readonly geometry: string | null;
  readonly dueDay: number | null;
  readonly lastCheckDay: number | null;
  /** Probability to have left tolerance by the first day of each week; null where the unit cannot be judged. */
  readonly outBy: readonly number[] | null;
  /** The week that people keep for it; null: none that is still to come. */
  readonly keptWeek: string | null;
}

/** Weeks beyond the last due date, for units that cannot go in time. */
const WEEKS_BEYOND = 26;
const MOST_WEEKS = 130;
const LOOK_BACK_DAYS = 366;
/** Each takes a forecast of its own. */
const MOST_RETURNED = 200;

/**
 * Loads what a return plan needs to know of every unit.
 *
 * @param asOf ISO day; the first week that can be booked is the one that holds it.
 * @param known The fleet's figures where they were learnt already.
 */
export async function loadReturns(
  store: Store,
  asOf: string,
  settings: Settings,
  known?: FleetFigures,
): Promise<ReturnsInput> {
  const { fleet } = await loadFleet(store, asOf, settings);
  const weeks = planningWeeks(
    fleet.asOfDay,
    fleet.units.map((unit) => unit.nextServiceDueDay),
  );
  const kept = await bookingsStanding(store, asOf);
  const figures = known ?? (await fleetFigures(store, asOf, settings, fleet));
  const risks = riskByDay(
    fleet,
    figures,
    weeks.map((week) => week.firstDay),
  );
  return {
    asOfDay: fleet.asOfDay,
    weeks,
    returned: returnedUnits(fleet, figures, fleet.asOfDay - LOOK_BACK_DAYS, MOST_RETURNED),
    units: fleet.units.map((unit, i): ReturnsUnit => {
      const { readings } = unit;
      const last = readings.count - 1;
      const risk = risks[i]!;
      return {
        instrument: unit.instrument,
        site: unit.site,
        modelClass: unit.modelClass,
        geometry: fleet.geometries[readings.geometry[last] ?? -1] ?? null,
        dueDay: unit.nextServiceDueDay,
        lastCheckDay: readings.day[last] ?? null,
        outBy: risk && Array.from(risk),
        keptWeek: weeks.find(({ name }) => name === kept.get(unit.instrument)?.week)?.name ?? null,
      };
    }),
  };
}

function planningWeeks(asOfDay: number, dueDays: readonly (number | null)[]): PlanningWeek[] {
  const first = mondayOf(asOfDay);
  const lastDue = dueDays.reduce<number>((latest, day) => Math.max(latest, day ?? latest), asOfDay);
  const count = Math.min(MOST_WEEKS, (mondayOf(lastDue) - first) / 7 + 1 + WEEKS_BEYOND);
  return Array.from({ length: count }, (_, w) => ({
    name: isoWeekOf(first + 7 * w),
    firstDay: Math.max(asOfDay, first + 7 * w),
  }));
}
