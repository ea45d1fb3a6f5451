import type { KeptBooking, ServiceRecord, Store } from "../../ingest/index.ts";
import { endOfDayMs, isoOfDay } from "./days.ts";
import { mondayOfIsoWeek } from "./iso-weeks.ts";

/** A week that stands for a unit. */
export interface StandingBooking extends KeptBooking {
  readonly week: string;
  /** Whether the week is over and no return is recorded: the unit is planned anew. */
  readonly isPast: boolean;
}

/** The weeks that people keep for units, as they stood at the end of a day, by unit. */
export async function bookingsStanding(
  store: Pick<Store, "bookings" | "services">,
  asOf: string,
): Promise<ReadonlyMap<string, StandingBooking>> {
  const [decisions, services] = await Promise.all([store.bookings.list(), store.services()]);
  return standing(decisions, services, asOf);
}

/** Kept bookings for JSON, by unit. */
export function keptReport(kept: ReadonlyMap<string, StandingBooking>) {
  return [...kept.values()].map(({ instrument, week, isPast, by, why, madeAtMs }) => ({
    instrument,
    week,
    is_past: isPast,
    by,
    why,
    kept_on: isoOfDay(madeAtMs / 86_400_000),
  }));
}

/**
 * What stands of all decisions: the last about each unit by then, unless it was released, or the unit came back since
 * it was kept.
 */
export function standing(
  decisions: readonly KeptBooking[],
  services: readonly ServiceRecord[],
  asOf: string,
): ReadonlyMap<string, StandingBooking> {
  const endMs = endOfDayMs(asOf);
  const latest = new Map(
    decisions.filter(({ madeAtMs }) => madeAtMs <= endMs).map((one) => [one.instrument, one]),
  );
  const lastService = new Map<string, string>();
  for (const { instrument, servicedAt } of services) {
    if (servicedAt <= asOf && servicedAt > (lastService.get(instrument) ?? "")) {
      lastService.set(instrument, servicedAt);
    }
  }
  return new Map(
    [...latest].flatMap(([instrument, { week, ...booking }]): [string, StandingBooking][] => {
      if (week === null || hasComeBack(booking.madeAtMs, lastService.get(instrument))) return [];
      return [[instrument, { ...booking, week, isPast: isOver(week, asOf) }]];
    }),
  );
}

/** A service on the very day on which the week was kept may have been before it. */
function hasComeBack(madeAtMs: number, servicedAt: string | undefined): boolean {
  return servicedAt !== undefined && servicedAt > isoOfDay(madeAtMs / 86_400_000);
}

function isOver(week: string, asOf: string): boolean {
  return isoOfDay(mondayOfIsoWeek(week)! + 6) < asOf;
}
