import { dayOfIso } from "../assessment/days.ts";
import type { CourseMonth } from "../assessment/fleet-course.ts";
import type { FleetView } from "../assessment/views.ts";
import { countStates, type StateCounts } from "./sites.ts";

/** One month of the fleet. Days count from 1970-01-01 UTC. */
export interface CourseRow {
  readonly day: number;
  readonly units: number;
  readonly states: StateCounts;
  /** Of units within tolerance then: how many were to be expected to leave it before their service. */
  readonly said: number;
  /** How many of them have been out since, at the end of a later month up to that service or today. */
  readonly came: number;
  /** Units among them whose service is still to come, so that more may follow. */
  readonly open: number;
}

/** The fleet month by month, each held against what the months after it showed; today last. */
export function courseRows(months: readonly CourseMonth[], fleet: FleetView): CourseRow[] {
  const today: CourseMonth = {
    asOf: fleet.asOf,
    units: fleet.assessment.units.map(({ instrument, state, pOutBeforeService, nextServiceDueDay }) => ({
      instrument,
      state,
      chance: pOutBeforeService,
      dueDay: nextServiceDueDay,
    })),
  };
  const all = [...months, today];
  const outOn = all.map(
    (month) =>
      new Set(month.units.filter(({ state }) => state === "out").map(({ instrument }) => instrument)),
  );
  const todayDay = dayOfIso(fleet.asOf);
  return all.map((month, m) => {
    const within = month.units.filter(({ state, chance }) => state !== "out" && chance !== null);
    const wasOut = ({ instrument, dueDay }: (typeof within)[number]): boolean =>
      all.some((later, l) => l > m && dayOfIso(later.asOf) <= (dueDay ?? 0) && outOn[l]!.has(instrument));
    return {
      day: dayOfIso(month.asOf),
      units: month.units.length,
      states: countStates(month.units.map(({ state }) => state)),
      said: within.reduce((sum, { chance }) => sum + chance!, 0),
      came: within.filter(wasOut).length,
      open: within.filter((unit) => unit.dueDay !== null && unit.dueDay > todayDay && !wasOut(unit)).length,
    };
  });
}

/** The same flat, for JSON. */
export function courseFigures(rows: readonly CourseRow[]) {
  return rows.map(({ day, units, states, said, came, open }) => ({
    as_of: new Date(day * 86_400_000).toISOString().slice(0, 10),
    units,
    ...states,
    said_to_leave: said,
    left_so_far: came,
    service_still_to_come: open,
  }));
}
