import type { LotVerdict, UnitState } from "../../../analysis/index.ts";
import { dayOfIso } from "../../../dashboard/assessment/days.ts";
import type { FleetView } from "../../../dashboard/assessment/views.ts";
import type { Store, Subscription } from "../../../ingest/index.ts";
import { fixtureAssessment } from "../support/fixture-fleet.ts";

export const NOW = Date.parse("2026-04-01T12:00:00Z");
export const MINUTE = 60_000;
export const DAY = 86_400_000;

const { current } = fixtureAssessment(60);

/** The fixture's fleet with some states as a test wants them; all others are steady, all lots sound. */
export async function fleetWith(
  revision: number,
  units: Readonly<Record<string, UnitState>>,
  lots: Readonly<Record<string, LotVerdict>> = {},
  asOf = "2026-04-01",
): Promise<FleetView> {
  const fleet = await current();
  const { assessment } = fleet;
  return {
    ...fleet,
    asOf,
    revision,
    assessment: {
      ...assessment,
      asOfDay: dayOfIso(asOf),
      units: assessment.units.map((unit) => ({ ...unit, state: units[unit.instrument] ?? "steady" })),
      lots: assessment.lots.map((lot) => ({ ...lot, verdict: lots[lot.fluidLot] ?? "sound" })),
    },
  };
}

/** A unit of the fixture's fleet at a site. */
export async function unitAt(site: string, index = 0): Promise<string> {
  const { assessment } = await current();
  return assessment.units.filter((unit) => unit.site === site)[index]!.instrument;
}

export async function subscribed(store: Store, change: Partial<Subscription> = {}): Promise<number> {
  return store.notices.subscribe({
    accountId: null,
    name: "Ada",
    way: "email",
    address: "ada@lab.example",
    secret: null,
    sites: null,
    atOnce: true,
    digest: null,
    timeZone: "UTC",
    chosenAtMs: NOW - 30 * DAY,
    ...change,
  });
}
