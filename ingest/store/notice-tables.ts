import { type Kysely, sql } from "kysely";
import type { Dialect } from "./migrations.ts";
import {
  DELIVERY_KINDS,
  DELIVERY_STATES,
  type DeliveryKind,
  type DeliveryState,
  NOTICE_SUBJECTS,
  NOTICE_WAYS,
  type NoticeSubject,
  type NoticeWay,
} from "./notice-outbox.ts";

export interface NoticeTables {
  readonly notice_subscription: SubscriptionRow;
  readonly notice_look: LookRow;
  readonly notice_state: StateRow;
  readonly notice_event: EventRow;
  readonly notice_delivery: DeliveryRow;
}

export interface SubscriptionRow {
  readonly id: number;
  readonly person_id: number | null;
  readonly name: string;
  readonly way: NoticeWay;
  readonly address: string | null;
  readonly secret: string | null;
  /** A JSON list; null: all sites. So in every table here. */
  readonly sites: string | null;
  readonly at_once: number;
  /** 1: Monday, 7: Sunday; null: no digest. */
  readonly digest_weekday: number | null;
  readonly digest_hour: number | null;
  readonly time_zone: string;
  readonly chosen_at_ms: number;
  readonly ended_at_ms: number | null;
}

interface LookRow {
  readonly id: number;
  readonly serial: number;
  readonly revision: number;
  readonly as_of: string;
}

interface StateRow {
  readonly subject: NoticeSubject;
  readonly name: string;
  readonly state: string;
}

export interface EventRow {
  readonly id: number;
  readonly subject: NoticeSubject;
  readonly name: string;
  readonly before: string | null;
  readonly state: string;
  readonly sites: string;
  readonly happened_at_ms: number;
  readonly as_of: string;
  readonly at_once: number;
}

export interface DeliveryRow {
  readonly id: number;
  readonly subscription_id: number;
  readonly event_key: string;
  readonly kind: DeliveryKind;
  readonly message_id: string;
  readonly content: string;
  readonly about_sites: string | null;
  readonly made_at_ms: number;
  readonly state: DeliveryState;
  readonly tries: number;
  readonly due_at_ms: number;
  readonly claimed_by: string | null;
  readonly claimed_until_ms: number | null;
  readonly settled_at_ms: number | null;
  readonly trouble: string | null;
}

export async function createNoticeTables(db: Kysely<unknown>, dialect: Dialect): Promise<void> {
  const { wholeNumber, tableEnd } = dialect;
  const create = (name: string) => db.schema.createTable(name).modifyEnd(tableEnd);

  await create("notice_subscription")
    .addColumn("id", wholeNumber, (column) => column.primaryKey())
    .addColumn("person_id", wholeNumber, (column) => column.references("person.id"))
    .addColumn("name", "text", (column) => column.notNull().check(sql`name <> ''`))
    .addColumn("way", "text", (column) => column.notNull().check(oneOf("way", NOTICE_WAYS)))
    .addColumn("address", "text")
    .addColumn("secret", "text")
    .addColumn("sites", "text")
    .addColumn("at_once", wholeNumber, (column) => column.notNull())
    .addColumn("digest_weekday", wholeNumber, (column) => column.check(sql`digest_weekday BETWEEN 1 AND 7`))
    .addColumn("digest_hour", wholeNumber, (column) => column.check(sql`digest_hour BETWEEN 0 AND 23`))
    .addColumn("time_zone", "text", (column) => column.notNull())
    .addColumn("chosen_at_ms", wholeNumber, (column) => column.notNull())
    .addColumn("ended_at_ms", wholeNumber)
    .execute();

  await create("notice_look")
    .addColumn("id", wholeNumber, (column) => column.primaryKey().check(sql`id = 1`))
    .addColumn("serial", wholeNumber, (column) => column.notNull())
    .addColumn("revision", wholeNumber, (column) => column.notNull())
    .addColumn("as_of", "text", (column) => column.notNull())
    .execute();

  await create("notice_state")
    .addColumn("subject", "text", (column) => column.notNull().check(oneOf("subject", NOTICE_SUBJECTS)))
    .addColumn("name", "text", (column) => column.notNull())
    .addColumn("state", "text", (column) => column.notNull())
    .addPrimaryKeyConstraint("notice_state_key", ["subject", "name"])
    .execute();

  await create("notice_event")
    .addColumn("id", wholeNumber, (column) => column.primaryKey())
    .addColumn("subject", "text", (column) => column.notNull().check(oneOf("subject", NOTICE_SUBJECTS)))
    .addColumn("name", "text", (column) => column.notNull())
    .addColumn("before", "text")
    .addColumn("state", "text", (column) => column.notNull())
    .addColumn("sites", "text", (column) => column.notNull())
    .addColumn("happened_at_ms", wholeNumber, (column) => column.notNull())
    .addColumn("as_of", "text", (column) => column.notNull())
    .addColumn("at_once", wholeNumber, (column) => column.notNull())
    .execute();
  await db.schema.createIndex("notice_event_by_time").on("notice_event").column("happened_at_ms").execute();

  await create("notice_delivery")
    .addColumn("id", wholeNumber, (column) => column.primaryKey())
    .addColumn("subscription_id", wholeNumber, (column) =>
      column.notNull().references("notice_subscription.id"),
    )
    .addColumn("event_key", "text", (column) => column.notNull())
    .addColumn("kind", "text", (column) => column.notNull().check(oneOf("kind", DELIVERY_KINDS)))
    .addColumn("message_id", "text", (column) => column.notNull().unique())
    .addColumn("content", "text", (column) => column.notNull())
    .addColumn("about_sites", "text")
    .addColumn("made_at_ms", wholeNumber, (column) => column.notNull())
    .addColumn("state", "text", (column) => column.notNull().check(oneOf("state", DELIVERY_STATES)))
    .addColumn("tries", wholeNumber, (column) => column.notNull())
    .addColumn("due_at_ms", wholeNumber, (column) => column.notNull())
    .addColumn("claimed_by", "text")
    .addColumn("claimed_until_ms", wholeNumber)
    .addColumn("settled_at_ms", wholeNumber)
    .addColumn("trouble", "text")
    .addUniqueConstraint("notice_once", ["subscription_id", "event_key"])
    .execute();
  await db.schema
    .createIndex("notice_delivery_waiting")
    .on("notice_delivery")
    .columns(["due_at_ms", "id"])
    .where(sql<boolean>`state = 'waiting'`)
    .execute();
}

function oneOf(column: string, words: readonly string[]) {
  return sql<boolean>`${sql.ref(column)} IN (${sql.join(words.map((word) => sql.lit(word)))})`;
}
