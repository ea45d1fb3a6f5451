import type { Kysely } from "kysely";
import * as deliveries from "./notice-delivery-queries.ts";
import type {
  Claim,
  Delivery,
  DeliveryState,
  KnownNow,
  LookFound,
  NewDelivery,
  NoticeChoice,
  NoticeEvent,
  NoticeOutbox,
  Settled,
  Subscription,
} from "./notice-outbox.ts";
import * as notices from "./notice-queries.ts";
import type { Tables } from "./tables.ts";

/** What the notices need of the store around them. */
interface Around {
  reads(): Kysely<Tables>;
  write<T>(change: (db: Kysely<Tables>) => Promise<T>): Promise<T>;
}

/** The notices of a store, by queries that any database answers. */
export class QueriedNotices implements NoticeOutbox {
  readonly #around: Around;

  constructor(around: Around) {
    this.#around = around;
  }

  subscriptions(): Promise<Subscription[]> {
    return notices.selectSubscriptions(this.#around.reads());
  }

  async subscription(id: number): Promise<Subscription | null> {
    const [found] = await notices.selectSubscriptions(this.#around.reads(), id);
    return found ?? null;
  }

  subscribe(subscription: Omit<Subscription, "id" | "endedAtMs">): Promise<number> {
    return this.#around.write((db) => notices.insertSubscription(db, subscription));
  }

  changeChoice(id: number, choice: NoticeChoice, atMs: number): Promise<void> {
    return this.#around.write((db) => notices.updateChoice(db, id, choice, atMs));
  }

  unsubscribe(id: number, atMs: number): Promise<void> {
    return this.#around.write((db) => notices.endSubscription(db, id, atMs));
  }

  known(): Promise<KnownNow> {
    return notices.selectKnown(this.#around.reads());
  }

  keepLook(found: LookFound): Promise<boolean> {
    return this.#around.write((db) => notices.insertLook(db, found));
  }

  eventsSince(atMs: number): Promise<NoticeEvent[]> {
    return notices.selectEventsSince(this.#around.reads(), atMs);
  }

  sitesOfLot(fluidLot: string): Promise<string[]> {
    return notices.selectSitesOfLot(this.#around.reads(), fluidLot);
  }

  enqueue(messages: readonly NewDelivery[]): Promise<void> {
    return this.#around.write((db) => deliveries.insertDeliveries(db, messages));
  }

  lastDigestAtMs(subscriptionId: number): Promise<number | null> {
    return deliveries.selectLastDigest(this.#around.reads(), subscriptionId);
  }

  async hasDue(claim: Claim): Promise<boolean> {
    return (await deliveries.selectDue(this.#around.reads(), claim)) !== null;
  }

  claim(claim: Claim): Promise<Delivery | null> {
    return this.#around.write((db) => deliveries.claimDue(db, claim));
  }

  settle(id: number, by: string, settled: Settled): Promise<boolean> {
    return this.#around.write((db) => deliveries.updateSettled(db, id, by, settled));
  }

  deliveries(filter: {
    readonly state?: DeliveryState;
    readonly subscriptionId?: number;
    readonly limit: number;
  }): Promise<Delivery[]> {
    return deliveries.selectDeliveries(this.#around.reads(), filter);
  }

  tryAgain(id: number, atMs: number): Promise<void> {
    return this.#around.write((db) => deliveries.updateTryAgain(db, id, atMs));
  }
}
