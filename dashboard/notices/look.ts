import { randomUUID } from "node:crypto";
import type { NewDelivery, NoticeEvent, NoticeLook, Store } from "../../ingest/index.ts";
import { DAY_MS, dayOfIso } from "../assessment/days.ts";
import type { FleetView } from "../assessment/views.ts";
import { isInUse } from "../page-models/fluid-lots.ts";
import { nextStep } from "../page-models/next-step.ts";
import type { LotTurned, TurnedContent, UnitTurned } from "./content.ts";
import { isoOrNull } from "./iso-or-null.ts";
import { mayRead, type Recipient, recipientsOf, sitesTold } from "./recipients.ts";
import { isNews, isToldAtOnce, QUIET_MS, statesOf, type Turn, turnsBetween } from "./turns.ts";

type NewEvent = Omit<NoticeEvent, "id">;

/** Where more than so many turned in one look, a recipient is told of all of them in one message. */
const MOST_SINGLY = 5;

/**
 * Holds a look at the fleet against the one before, and keeps what turned together with the messages about it.
 *
 * @remarks The first look there is keeps how everything stands and tells nobody. Where another process keeps a look at
 *   the same moment, this one keeps nothing: the next call looks again.
 */
export async function noteTurns(store: Store, fleet: FleetView, nowMs: number): Promise<void> {
  const { notices, accounts } = store;
  const { look, states: known } = await notices.known();
  if (look !== null && !isNewer(fleet, look)) return;
  const turns = turnsBetween(known, statesOf(fleet.assessment));
  const found = { after: look, revision: fleet.revision, asOf: fleet.asOf, states: turns };
  const news = look === null ? [] : turns.filter(isNews);
  if (news.length === 0) {
    await notices.keepLook({ ...found, events: [], deliveries: [] });
    return;
  }
  // A moment well ahead of ours was of a clock that was wrong.
  const lately = (await notices.eventsSince(nowMs - QUIET_MS)).filter(
    ({ happenedAtMs }) => happenedAtMs <= nowMs + DAY_MS,
  );
  const events = await Promise.all(news.map((turn) => eventOf(store, fleet, turn, lately, nowMs)));
  const recipients = recipientsOf(await notices.subscriptions(), await accounts.list());
  const serial = look!.serial + 1;
  await notices.keepLook({
    ...found,
    events,
    deliveries: recipients.flatMap((one) => deliveriesTo(one, events, fleet, serial, nowMs)),
  });
}

/**
 * Whether a look is of a later state than another: by the store's revision, then by the day.
 *
 * @remarks A process that lags behind must not turn things back. A day far ahead of ours was of a clock that was wrong.
 */
function isNewer({ revision, asOf }: Pick<FleetView, "revision" | "asOf">, last: NoticeLook): boolean {
  if (revision !== last.revision) return revision > last.revision;
  const days = dayOfIso(asOf) - dayOfIso(last.asOf);
  return days > 0 || days < -1;
}

async function eventOf(
  { notices }: Store,
  { instruments, asOf }: FleetView,
  turn: Turn,
  lately: readonly NoticeEvent[],
  nowMs: number,
): Promise<NewEvent> {
  const { subject, name } = turn;
  const site = instruments.get(name)?.site ?? null;
  const sites = subject === "lot" ? await notices.sitesOfLot(name) : site === null ? [] : [site];
  return { ...turn, sites, happenedAtMs: nowMs, asOf, atOnce: isToldAtOnce(turn, lately) };
}

function deliveriesTo(
  recipient: Recipient,
  events: readonly NewEvent[],
  fleet: FleetView,
  serial: number,
  nowMs: number,
): NewDelivery[] {
  const { subscription, address } = recipient;
  if (!subscription.atOnce || address === null) return [];
  const told = events.filter((event) => event.atOnce && concerns(recipient, event));
  const message = (eventKey: string, about: readonly NewEvent[]): NewDelivery => ({
    subscriptionId: subscription.id,
    eventKey,
    kind: "turned",
    messageId: randomUUID(),
    content: JSON.stringify(contentOf(recipient, about, fleet)),
    aboutSites: sitesOfAll(recipient, about),
    madeAtMs: nowMs,
  });
  if (told.length > MOST_SINGLY) return [message(`look ${serial}`, told)];
  return told.map((event) => message(`look ${serial} ${event.subject} ${event.name}`, [event]));
}

/** What is at no site concerns those who see all of them. */
function concerns(recipient: Recipient, { sites }: NewEvent): boolean {
  return sites.length === 0 ? mayRead(recipient, null) : sitesTold(recipient, sites).length > 0;
}

function sitesOfAll(recipient: Recipient, events: readonly NewEvent[]): readonly string[] | null {
  if (events.some(({ sites }) => sites.length === 0)) return null;
  return [...new Set(events.flatMap(({ sites }) => sitesTold(recipient, sites)))];
}

function contentOf(recipient: Recipient, events: readonly NewEvent[], fleet: FleetView): TurnedContent {
  return {
    kind: "turned",
    as_of: fleet.asOf,
    turned: events.map((event) =>
      event.subject === "unit" ? unitTurned(event, fleet) : lotTurned(event, recipient, fleet),
    ),
  };
}

function unitTurned({ name, before }: NewEvent, { assessment }: FleetView): UnitTurned {
  const unit = assessment.units.find(({ instrument }) => instrument === name)!;
  return {
    subject: "unit",
    name,
    site: unit.site,
    before: before as UnitTurned["before"],
    state: unit.state,
    p_out_now: unit.pOutNow,
    p_out_before_service: unit.pOutBeforeService,
    band: unit.band,
    next_service_due: isoOrNull(unit.nextServiceDueDay),
    last_check: isoOrNull(unit.lastCheckDay),
    next_step: nextStep(unit, assessment.asOfDay),
  };
}

function lotTurned(event: NewEvent, recipient: Recipient, { assessment }: FleetView): LotTurned {
  const lot = assessment.lots.find(({ fluidLot }) => fluidLot === event.name)!;
  return {
    subject: "lot",
    name: event.name,
    sites: sitesTold(recipient, event.sites),
    before: event.before as LotTurned["before"],
    state: lot.verdict,
    error_percent: lot.errorPercent,
    error_sd: lot.errorSd,
    in_use: isInUse(lot.lastUseDay, assessment.asOfDay),
  };
}
