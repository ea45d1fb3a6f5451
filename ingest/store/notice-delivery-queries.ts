import { type Expression, type Kysely, type SqlBool, sql } from "kysely";
import type { Claim, Delivery, DeliveryState, NewDelivery, Settled } from "./notice-outbox.ts";
import type { DeliveryRow } from "./notice-tables.ts";
import type { Tables } from "./tables.ts";

/** Messages in line and what became of them, as queries that any database behind the store answers. */

/** Within a writing transaction. */
export async function insertDeliveries(
  db: Kysely<Tables>,
  deliveries: readonly NewDelivery[],
): Promise<void> {
  if (deliveries.length === 0) return;
  const { last } = await db
    .selectFrom("notice_delivery")
    .select((of) => of.fn.max("id").as("last"))
    .executeTakeFirstOrThrow();
  let id = Number(last ?? 0);
  for (const { subscriptionId, eventKey, kind, messageId, content, aboutSites, madeAtMs } of deliveries) {
    id += 1;
    await db
      .insertInto("notice_delivery")
      .values({
        id,
        subscription_id: subscriptionId,
        event_key: eventKey,
        kind,
        message_id: messageId,
        content,
        about_sites: sitesText(aboutSites),
        made_at_ms: madeAtMs,
        state: "waiting",
        tries: 0,
        due_at_ms: madeAtMs,
        claimed_by: null,
        claimed_until_ms: null,
        settled_at_ms: null,
        trouble: null,
      })
      .onConflict((on) => on.columns(["subscription_id", "event_key"]).doNothing())
      .execute();
  }
}

export async function selectLastDigest(db: Kysely<Tables>, subscriptionId: number): Promise<number | null> {
  const { last } = await db
    .selectFrom("notice_delivery")
    .select((of) => of.fn.max("made_at_ms").as("last"))
    .where("subscription_id", "=", subscriptionId)
    .where("kind", "=", "digest")
    .executeTakeFirstOrThrow();
  return last === null ? null : Number(last);
}

/** The number of the next message that may be taken. */
export async function selectDue(db: Kysely<Tables>, claim: Claim): Promise<number | null> {
  if (claim.ways.length === 0) return null;
  const row = await db
    .selectFrom("notice_delivery as row")
    .innerJoin("notice_subscription as subscription", "subscription.id", "row.subscription_id")
    .select("row.id")
    .where("row.state", "=", "waiting")
    .where("subscription.way", "in", claim.ways)
    .where(isOver(sql.ref("row.due_at_ms"), claim))
    .where((of) =>
      of.or([of("row.claimed_until_ms", "is", null), isOver(sql.ref("row.claimed_until_ms"), claim)]),
    )
    .orderBy("row.due_at_ms")
    .orderBy("row.id")
    .executeTakeFirst();
  return row?.id ?? null;
}

/** Within a writing transaction, so that no other process can take the same. */
export async function claimDue(db: Kysely<Tables>, claim: Claim): Promise<Delivery | null> {
  const id = await selectDue(db, claim);
  if (id === null) return null;
  await db
    .updateTable("notice_delivery")
    .set((of) => ({
      claimed_by: claim.by,
      claimed_until_ms: claim.untilMs,
      tries: of("tries", "+", 1),
    }))
    .where("id", "=", id)
    .execute();
  const row = await db
    .selectFrom("notice_delivery")
    .selectAll()
    .where("id", "=", id)
    .executeTakeFirstOrThrow();
  return toDelivery(row);
}

/** Within a writing transaction. @returns false where another process has taken it. */
export async function updateSettled(
  db: Kysely<Tables>,
  id: number,
  by: string,
  settled: Settled,
): Promise<boolean> {
  const { numUpdatedRows } = await db
    .updateTable("notice_delivery")
    .set({
      state: settled.state,
      trouble: settled.trouble,
      claimed_by: null,
      claimed_until_ms: null,
      ...(settled.state === "waiting" ? { due_at_ms: settled.dueAtMs } : { settled_at_ms: settled.atMs }),
    })
    .where("id", "=", id)
    .where("claimed_by", "=", by)
    .where("state", "=", "waiting")
    .executeTakeFirst();
  return Number(numUpdatedRows) === 1;
}

/** The latest first. */
export async function selectDeliveries(
  db: Kysely<Tables>,
  filter: { readonly state?: DeliveryState; readonly subscriptionId?: number; readonly limit: number },
): Promise<Delivery[]> {
  let query = db.selectFrom("notice_delivery").selectAll().orderBy("id", "desc").limit(filter.limit);
  if (filter.state !== undefined) query = query.where("state", "=", filter.state);
  if (filter.subscriptionId !== undefined) query = query.where("subscription_id", "=", filter.subscriptionId);
  return (await query.execute()).map(toDelivery);
}

/** Within a writing transaction. */
export async function updateTryAgain(db: Kysely<Tables>, id: number, atMs: number): Promise<void> {
  await db
    .updateTable("notice_delivery")
    .set({ state: "waiting", tries: 0, due_at_ms: atMs, settled_at_ms: null })
    .where("id", "=", id)
    .where("state", "=", "failed")
    .execute();
}

export function toSites(text: string | null): readonly string[] | null {
  return text === null ? null : (JSON.parse(text) as string[]);
}

export function sitesText(sites: readonly string[] | null): string | null {
  return sites === null ? null : JSON.stringify(sites);
}

/** Whether a time has come, or lies so far ahead that only a clock that was wrong can have set it. */
function isOver(time: Expression<unknown>, { nowMs, furthestMs }: Claim): Expression<SqlBool> {
  return sql<SqlBool>`(${time} <= ${nowMs} OR ${time} > ${furthestMs})`;
}

function toDelivery(row: DeliveryRow): Delivery {
  return {
    id: row.id,
    subscriptionId: row.subscription_id,
    eventKey: row.event_key,
    kind: row.kind,
    messageId: row.message_id,
    content: row.content,
    aboutSites: toSites(row.about_sites),
    madeAtMs: row.made_at_ms,
    state: row.state,
    tries: row.tries,
    dueAtMs: row.due_at_ms,
    settledAtMs: row.settled_at_ms,
    trouble: row.trouble,
  };
}
