import type { Kysely } from "kysely";
import { insertDeliveries, sitesText, toSites } from "./notice-delivery-queries.ts";
import type {
  KnownNow,
  LookFound,
  NoticeChoice,
  NoticeEvent,
  NoticeSubject,
  Subscription,
} from "./notice-outbox.ts";
import type { SubscriptionRow } from "./notice-tables.ts";
import type { Tables } from "./tables.ts";

/** Subscriptions, and what turned since the last look, as queries that any database behind the store answers. */

/** By name; those that have ended only where one is asked for by its number. */
export async function selectSubscriptions(db: Kysely<Tables>, id?: number): Promise<Subscription[]> {
  const query = db.selectFrom("notice_subscription").selectAll().orderBy("name").orderBy("id");
  const rows = await (id === undefined
    ? query.where("ended_at_ms", "is", null)
    : query.where("id", "=", id)
  ).execute();
  return rows.map(toSubscription);
}

/** Within a writing transaction. @returns Its number. */
export async function insertSubscription(
  db: Kysely<Tables>,
  { accountId, name, way, address, secret, chosenAtMs, ...choice }: Omit<Subscription, "id" | "endedAtMs">,
): Promise<number> {
  const others = await db
    .selectFrom("notice_subscription")
    .select("id")
    .where("ended_at_ms", "is", null)
    .executeTakeFirst();
  if (others === undefined) {
    await db.deleteFrom("notice_look").execute();
    await db.deleteFrom("notice_state").execute();
  }
  const id = await nextId(db, "notice_subscription");
  await db
    .insertInto("notice_subscription")
    .values({
      id,
      person_id: accountId,
      name,
      way,
      address,
      secret,
      chosen_at_ms: chosenAtMs,
      ended_at_ms: null,
      ...choiceColumns(choice),
    })
    .execute();
  return id;
}

/** Within a writing transaction. */
export async function updateChoice(
  db: Kysely<Tables>,
  id: number,
  choice: NoticeChoice,
  atMs: number,
): Promise<void> {
  await db
    .updateTable("notice_subscription")
    .set({ ...choiceColumns(choice), chosen_at_ms: atMs })
    .where("id", "=", id)
    .execute();
}

/** Within a writing transaction. */
export async function endSubscription(db: Kysely<Tables>, id: number, atMs: number): Promise<void> {
  await db
    .updateTable("notice_subscription")
    .set({ ended_at_ms: atMs })
    .where("id", "=", id)
    .where("ended_at_ms", "is", null)
    .execute();
}

export async function selectKnown(db: Kysely<Tables>): Promise<KnownNow> {
  const look = await db
    .selectFrom("notice_look")
    .select(["serial", "revision", "as_of as asOf"])
    .executeTakeFirst();
  const states = await db.selectFrom("notice_state").select(["subject", "name", "state"]).execute();
  return { look: look ?? null, states };
}

/** Within a writing transaction. @returns false where another look came between. */
export async function insertLook(
  db: Kysely<Tables>,
  { after, revision, asOf, states, events, deliveries }: LookFound,
): Promise<boolean> {
  const last = await db.selectFrom("notice_look").select("serial").executeTakeFirst();
  if ((last?.serial ?? null) !== (after?.serial ?? null)) return false;
  const look = { serial: (last?.serial ?? 0) + 1, revision, as_of: asOf };
  await db
    .insertInto("notice_look")
    .values({ id: 1, ...look })
    .onConflict((on) => on.column("id").doUpdateSet(look))
    .execute();
  for (const { subject, name, state } of states) {
    await db
      .insertInto("notice_state")
      .values({ subject, name, state })
      .onConflict((on) => on.columns(["subject", "name"]).doUpdateSet({ state }))
      .execute();
  }
  let id = await nextId(db, "notice_event");
  for (const { subject, name, before, state, sites, happenedAtMs, asOf: day, atOnce } of events) {
    const row = { id, subject, name, before, state, sites: JSON.stringify(sites), as_of: day };
    await db
      .insertInto("notice_event")
      .values({ ...row, happened_at_ms: happenedAtMs, at_once: Number(atOnce) })
      .execute();
    id += 1;
  }
  await insertDeliveries(db, deliveries);
  return true;
}

/** Oldest first. */
export async function selectEventsSince(db: Kysely<Tables>, atMs: number): Promise<NoticeEvent[]> {
  const rows = await db
    .selectFrom("notice_event")
    .selectAll()
    .where("happened_at_ms", ">=", atMs)
    .orderBy("id")
    .execute();
  return rows.map(({ happened_at_ms, as_of, at_once, sites, ...row }) => ({
    ...row,
    subject: row.subject as NoticeSubject,
    sites: JSON.parse(sites) as string[],
    happenedAtMs: happened_at_ms,
    asOf: as_of,
    atOnce: at_once === 1,
  }));
}

export async function selectSitesOfLot(db: Kysely<Tables>, fluidLot: string): Promise<string[]> {
  const rows = await db
    .selectFrom("reading")
    .innerJoin("fluid_lot", "fluid_lot.id", "reading.fluid_lot_id")
    .innerJoin("instrument_register as register", "register.instrument_id", "reading.instrument_id")
    .innerJoin("site", "site.id", "register.site_id")
    .select("site.name")
    .distinct()
    .where("fluid_lot.name", "=", fluidLot)
    .orderBy("site.name")
    .execute();
  return rows.map(({ name }) => name);
}

function choiceColumns({ sites, atOnce, digest, timeZone }: NoticeChoice) {
  return {
    sites: sitesText(sites),
    at_once: Number(atOnce),
    digest_weekday: digest?.weekday ?? null,
    digest_hour: digest?.hour ?? null,
    time_zone: timeZone,
  };
}

function toSubscription(row: SubscriptionRow): Subscription {
  const { digest_weekday: weekday, digest_hour: hour } = row;
  return {
    id: row.id,
    accountId: row.person_id,
    name: row.name,
    way: row.way,
    address: row.address,
    secret: row.secret,
    sites: toSites(row.sites),
    atOnce: row.at_once === 1,
    digest: weekday === null || hour === null ? null : { weekday, hour },
    timeZone: row.time_zone,
    chosenAtMs: row.chosen_at_ms,
    endedAtMs: row.ended_at_ms,
  };
}

async function nextId(db: Kysely<Tables>, table: "notice_subscription" | "notice_event"): Promise<number> {
  const { last } = await db
    .selectFrom(table)
    .select((of) => of.fn.max("id").as("last"))
    .executeTakeFirstOrThrow();
  return Number(last ?? 0) + 1;
}
