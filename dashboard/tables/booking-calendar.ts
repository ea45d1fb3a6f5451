import ical, { ICalEventTransparency } from "ical-generator";
import { DAY_MS } from "../assessment/days.ts";
import type { PlannedUnit, ReturnsPlan } from "../assessment/plan-returns.ts";
import { counted, listed } from "../wording/numbers.ts";
import { bookingWhy } from "../wording/returns.ts";

/** Escapes that some calendars do not undo are kept out of what a reader sees. */
const NO_SITE = "no site given";

/**
 * The plan as a calendar (RFC 5545): one whole-day event a shipment, on the day on which it leaves.
 *
 * @remarks An event keeps its identity as long as week, site and workshop stay, so that a calendar that reads the feed
 * again changes it in place.
 *
 * @param madeAtMs Stamp of the events; the same plan with the same stamp gives the same bytes.
 */
export function bookingCalendar(plan: ReturnsPlan, madeAtMs: number): string {
  const calendar = ical({
    name: "Returns to service",
    prodId: { company: "Springtide", product: "returns", language: "EN" },
  });
  for (const units of shipments(plan)) {
    const [first] = units;
    const week = plan.weeks[first!.week!]!;
    const site = first!.unit.site ?? NO_SITE;
    const names = units.map(({ unit }) => unit.instrument);
    calendar.createEvent({
      id: `${week.name}-${encodeURIComponent(site)}-${encodeURIComponent(first!.workshop ?? "")}@springtide`,
      stamp: new Date(madeAtMs),
      start: new Date(week.firstDay * DAY_MS),
      end: new Date((week.firstDay + 1) * DAY_MS),
      allDay: true,
      timezone: "UTC",
      transparency: ICalEventTransparency.TRANSPARENT,
      summary: `${counted(units.length, "unit leaves", "units leave")} ${site}: ${listed(names)}`,
      location: site,
      description: units
        .map((unit) => `${unit.unit.instrument}: ${bookingWhy(unit, plan.weeks).replaceAll("\u202f", " ")}`)
        .join("\n"),
    });
  }
  return calendar.toString();
}

/** Units that leave one site in one week for one workshop, in the order of the weeks. */
export function shipments({ units }: Pick<ReturnsPlan, "units">): PlannedUnit[][] {
  const booked = units.filter(({ week }) => week !== null);
  return [
    ...Map.groupBy(booked, ({ unit, week, workshop }) =>
      JSON.stringify([week, unit.site, workshop]),
    ).values(),
  ];
}
