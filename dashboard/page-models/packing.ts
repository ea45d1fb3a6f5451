import type { ReturnsView } from "../assessment/views.ts";
import { HttpError } from "../errors.ts";
import { shipments } from "../tables/booking-calendar.ts";
import { bookingWhy } from "../wording/returns.ts";
import type { ReturnsQuery } from "./returns-query.ts";

/** What leaves in one week, a box for each site and workshop. */
export interface PackingPage {
  readonly query: ReturnsQuery;
  readonly week: string;
  readonly leavesDay: number;
  /** Week in which the units are to be back. */
  readonly backWeek: string;
  /** Neighbouring weeks of the plan; null at its ends. */
  readonly previous: string | null;
  readonly next: string | null;
  readonly boxes: readonly {
    readonly site: string;
    readonly workshop: string;
    readonly units: readonly {
      readonly instrument: string;
      readonly modelClass: string | null;
      readonly geometry: string | null;
      readonly dueDay: number;
      readonly why: string;
    }[];
  }[];
}

/**
 * @param week ISO week; null: the first in which anything leaves.
 * @throws {HttpError} 404 for a week that is not in the plan.
 */
export function packingPage(view: ReturnsView, query: ReturnsQuery, week: string | null): PackingPage {
  const plan = view.plans[0]!;
  const at =
    week === null
      ? Math.max(
          0,
          plan.weeks.findIndex(({ booked }) => booked > 0),
        )
      : plan.weeks.findIndex(({ name }) => name === week);
  const chosen = plan.weeks[at];
  if (chosen === undefined) {
    throw new HttpError(
      404,
      `The plan has no week ${week}.`,
      plan.weeks.length > 0
        ? `Its weeks are ${plan.weeks[0]!.name} to ${plan.weeks.at(-1)!.name}.`
        : "No unit has a date of its next service.",
    );
  }
  const { turnaround_weeks: turnaround } = view.settings.planning;
  return {
    query,
    week: chosen.name,
    leavesDay: chosen.firstDay,
    backWeek: view.input.weeks[at + turnaround]?.name ?? view.input.weeks.at(-1)!.name,
    previous: plan.weeks[at - 1]?.name ?? null,
    next: plan.weeks[at + 1]?.name ?? null,
    boxes: shipments({ units: plan.units.filter((unit) => unit.week === at) }).map((units) => ({
      site: units[0]!.unit.site ?? "no site given",
      workshop: units[0]!.workshop ?? "",
      units: units.map((planned) => ({
        instrument: planned.unit.instrument,
        modelClass: planned.unit.modelClass,
        geometry: planned.unit.geometry,
        dueDay: planned.dueDay,
        why: bookingWhy(planned, plan.weeks),
      })),
    })),
  };
}
