import {
  type FoundReturn,
  forecastReturns,
  latestReturns,
  type ReturnedUnit,
  riskOn,
} from "../../analysis/index.ts";
import type { Store } from "../../ingest/index.ts";
import type { Settings } from "../settings.ts";
import { type AfterLook, allUnits } from "./after-look.ts";
import type { ChangedRun } from "./assess-store.ts";
import { dayOfIso } from "./days.ts";
import { fleetFigures } from "./fleet-figures.ts";
import { isoWeekOf, mondayOf } from "./iso-weeks.ts";
import { bookingsStanding } from "./kept-bookings.ts";
import { loadFleet } from "./load-fleet.ts";
import { type UnitAhead, unitsAhead } from "./unit-ahead.ts";

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
/** Each takes a forecast of its own. */
const MOST_RETURNED = 200;

/**
 * Loads what a return plan needs to know of every unit.
 *
 * @param asOf ISO day; the first week that can be booked is the one that holds it.
 */
export async function loadReturns(store: Store, asOf: string, settings: Settings): Promise<ReturnsInput> {
  const { fleet } = await loadFleet(store, asOf, settings);
  const figures = await fleetFigures(store, asOf, settings, fleet);
  const ahead = [...unitsAhead(fleet, figures).values()];
  return returnsInput(store, asOf, ahead, forecastReturns(fleet, figures, returnsOf(ahead)));
}

/** The same after a look at the fleet. */
export async function returnsAfter(
  store: Store,
  after: Pick<AfterLook, "ahead" | "returned">,
  run: ChangedRun,
  asOf: string,
): Promise<ReturnsInput> {
  const ahead = [...(await after.ahead.of(run, asOf, null, allUnits(run))).values()];
  const returnsOfUnit = Map.groupBy(returnsOf(ahead), ({ instrument }) => instrument);
  const returned = await after.returned.of(run, asOf, null, returnsOfUnit);
  return returnsInput(store, asOf, ahead, latestReturns([...returned.values()].flat(), MOST_RETURNED));
}

function returnsOf(ahead: readonly UnitAhead[]): FoundReturn[] {
  return latestReturns(
    ahead.flatMap(({ returns }) => returns),
    MOST_RETURNED,
  );
}

async function returnsInput(
  store: Store,
  asOf: string,
  ahead: readonly UnitAhead[],
  returned: readonly ReturnedUnit[],
): Promise<ReturnsInput> {
  const asOfDay = dayOfIso(asOf);
  const weeks = planningWeeks(
    asOfDay,
    ahead.map(({ facts }) => facts.nextServiceDueDay),
  );
  const days = weeks.map(({ firstDay }) => firstDay);
  const names = new Set(weeks.map(({ name }) => name));
  const kept = await bookingsStanding(store, asOf);
  return {
    asOfDay,
    weeks,
    returned,
    units: ahead.map(({ facts, course, geometry, lastCheckDay }): ReturnsUnit => {
      const { instrument, site, modelClass, nextServiceDueDay: dueDay } = facts;
      const week = kept.get(instrument)?.week;
      return {
        instrument,
        site,
        modelClass,
        geometry,
        dueDay,
        lastCheckDay,
        outBy: course && [...riskOn(course, days)],
        keptWeek: week !== undefined && names.has(week) ? week : null,
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
