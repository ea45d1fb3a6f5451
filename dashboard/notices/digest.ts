import { randomUUID } from "node:crypto";
import type { UnitForecast, UnitState } from "../../analysis/index.ts";
import type { NewDelivery, NoticeEvent, Store } from "../../ingest/index.ts";
import { DAY_MS, isoOfDay } from "../assessment/days.ts";
import { mondayOfIsoWeek } from "../assessment/iso-weeks.ts";
import { bookingsStanding } from "../assessment/kept-bookings.ts";
import type { FleetView } from "../assessment/views.ts";
import { isInUse } from "../page-models/fluid-lots.ts";
import { nextStep } from "../page-models/next-step.ts";
import type { DigestContent, LotDigest, SiteDigest, TurnDigest, UnitDueBack } from "./content.ts";
import { dayIn, lastDigestDueMs } from "./digest-time.ts";
import { isoOrNull } from "./iso-or-null.ts";
import { mayRead, type Recipient, recipientsOf, sitesTold } from "./recipients.ts";

const WEEK_MS = 7 * DAY_MS;
/** After a time without digests, no more than so much of it is told. */
const LONGEST_MS = 5 * WEEK_MS;
/** Units listed a site and heading; the numbers tell of the others. */
const MOST_LISTED = 10;
/** Units that are due so soon are told of. Unit: days. */
const DUE_SOON_DAYS = 14;

/** Puts the weekly digests in line that have come due, each once. */
export async function queueDigests(store: Store, fleet: FleetView, nowMs: number): Promise<void> {
  const { notices, accounts } = store;
  const recipients = recipientsOf(await notices.subscriptions(), await accounts.list());
  const made: NewDelivery[] = [];
  for (const recipient of recipients) {
    const { subscription, address } = recipient;
    const dueMs = lastDigestDueMs(subscription, nowMs);
    if (dueMs === null || address === null || dueMs < subscription.chosenAtMs) continue;
    const lastMs = await notices.lastDigestAtMs(subscription.id);
    // A digest well ahead of us was made by a clock that was wrong.
    const beforeMs = lastMs !== null && lastMs <= nowMs + DAY_MS ? lastMs : null;
    if (beforeMs !== null && beforeMs >= dueMs) continue;
    const sinceMs = Math.max(beforeMs ?? dueMs - WEEK_MS, nowMs - LONGEST_MS);
    const content = await digestFor(store, fleet, recipient, sinceMs);
    made.push({
      subscriptionId: subscription.id,
      eventKey: `digest ${dayIn(subscription.timeZone, dueMs)}`,
      kind: "digest",
      messageId: randomUUID(),
      content: JSON.stringify(content),
      aboutSites: content.sites.some(({ site }) => site === null)
        ? null
        : content.sites.flatMap(({ site }) => site ?? []),
      madeAtMs: nowMs,
    });
  }
  if (made.length > 0) await notices.enqueue(made);
}

/** What one recipient's digest says of the time since a moment. */
export async function digestFor(
  store: Store,
  fleet: FleetView,
  recipient: Recipient,
  sinceMs: number,
): Promise<DigestContent> {
  const [events, held, bookings] = await Promise.all([
    store.notices.eventsSince(sinceMs),
    store.held.count({ state: "held" }),
    bookingsStanding(store, fleet.asOf),
  ]);
  const heldAt = new Map(held.bySite.map(({ name, rows }) => [name, rows]));
  const unitsAt = Map.groupBy(fleet.assessment.units, ({ site }) => site);
  const sites = [...unitsAt.keys()].filter((site) => mayRead(recipient, site === null ? null : [site]));
  return {
    kind: "digest",
    as_of: fleet.asOf,
    since: dayIn(recipient.subscription.timeZone, sinceMs),
    sites: sites.sort(byName).map((site): SiteDigest => {
      const units = unitsAt.get(site)!;
      const atRisk = units.filter(({ state }) => state === "out" || state === "heading-out");
      const due = dueBack(units, bookings, fleet.assessment.asOfDay);
      return {
        site,
        units: units.length,
        turned: turnsOf(units, events),
        at_risk: atRisk.slice(0, MOST_LISTED).map((unit) => ({
          name: unit.instrument,
          state: unit.state,
          p_out_before_service: unit.pOutBeforeService,
          next_service_due: isoOrNull(unit.nextServiceDueDay),
          next_step: nextStep(unit, fleet.assessment.asOfDay),
        })),
        at_risk_count: atRisk.length,
        due_back: due.slice(0, MOST_LISTED),
        due_back_count: due.length,
        rows_held_back: heldAt.get(site) ?? 0,
      };
    }),
    lots: await lotsFor(store, fleet, recipient, events),
  };
}

/** Units of no site come last. */
function byName(a: string | null, b: string | null): number {
  if (a === null || b === null) return Number(a === null) - Number(b === null);
  return a < b ? -1 : 1;
}

/** What each unit turned from and to over the time, where that is not the same. */
function turnsOf(units: readonly UnitForecast[], events: readonly NoticeEvent[]): TurnDigest[] {
  const here = new Set(units.map(({ instrument }) => instrument));
  const ofUnits = events.filter(({ subject, name }) => subject === "unit" && here.has(name));
  return [...Map.groupBy(ofUnits, ({ name }) => name)].flatMap(([name, turns]) => {
    const last = turns.at(-1)!;
    const before = turns[0]!.before as UnitState | null;
    if (before === last.state) return [];
    return [{ name, before, state: last.state as UnitState, on: last.asOf }];
  });
}

function dueBack(
  units: readonly UnitForecast[],
  bookings: Awaited<ReturnType<typeof bookingsStanding>>,
  asOfDay: number,
): UnitDueBack[] {
  const soonest = (unit: UnitForecast): number => {
    const week = bookings.get(unit.instrument)?.week;
    const keptDay = week === undefined ? null : mondayOfIsoWeek(week);
    return Math.min(unit.nextServiceDueDay ?? Infinity, keptDay ?? Infinity);
  };
  return units
    .map((unit) => ({ unit, day: soonest(unit) }))
    .filter(({ day }) => day <= asOfDay + DUE_SOON_DAYS)
    .sort((a, b) => a.day - b.day)
    .map(({ unit: { instrument, nextServiceDueDay } }) => ({
      name: instrument,
      next_service_due: nextServiceDueDay === null ? null : isoOfDay(nextServiceDueDay),
      kept_week: bookings.get(instrument)?.week ?? null,
    }));
}

async function lotsFor(
  { notices }: Store,
  { assessment }: FleetView,
  recipient: Recipient,
  events: readonly NoticeEvent[],
): Promise<LotDigest[]> {
  const turned = new Set(events.flatMap(({ subject, name }) => (subject === "lot" ? name : [])));
  const told = assessment.lots.filter(
    ({ fluidLot, verdict, lastUseDay }) =>
      turned.has(fluidLot) ||
      ((verdict === "doubtful" || verdict === "unsound") && isInUse(lastUseDay, assessment.asOfDay)),
  );
  const lots: LotDigest[] = [];
  for (const { fluidLot, verdict, errorPercent, errorSd } of told) {
    const isTheirs =
      recipient.sites === null || sitesTold(recipient, await notices.sitesOfLot(fluidLot)).length > 0;
    if (!isTheirs) continue;
    lots.push({
      name: fluidLot,
      state: verdict,
      error_percent: errorPercent,
      error_sd: errorSd,
      has_turned: turned.has(fluidLot),
    });
  }
  return lots;
}
