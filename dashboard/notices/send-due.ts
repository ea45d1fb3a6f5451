import type { Claim, Delivery, NoticeWay, Settled, Store } from "../../ingest/index.ts";
import { TROUBLE } from "../wording/notices.ts";
import type { NoticeContent } from "./content.ts";
import { type Send, SendTrouble } from "./outgoing.ts";
import { mayRead, recipientOf } from "./recipients.ts";

const MINUTE_MS = 60_000;
/** After each try that failed the next one waits so long; after the last the message has failed: two days in all. Unit: ms. */
const DELAYS_MS = [1, 5, 15, 60, 180, 360, 720, 1440].map((minutes) => minutes * MINUTE_MS);
/** So often a message is tried. */
export const MOST_TRIES = DELAYS_MS.length + 1;
/** A process that has not said by then what became of a message is taken to be gone: longer than any try lasts. Unit: ms. */
export const LEASE_MS = 3 * MINUTE_MS;
/** No due time and no claim lies further ahead. Unit: ms. */
const FURTHEST_MS = 2 * DELAYS_MS.at(-1)!;

/** A slow address keeps one of these busy, not all. */
const AT_ONCE = 4;

export interface SendingParts {
  readonly store: Store;
  /** The ways that this process can send by. */
  readonly ways: Readonly<Partial<Record<NoticeWay, Send>>>;
  /** Tells this process from others. */
  readonly by: string;
  readonly now: () => number;
}

/** What became of the messages that were due. */
export interface SentCounts {
  readonly sent: number;
  /** Not sent, and to be tried again. */
  readonly waiting: number;
  readonly failed: number;
  readonly dropped: number;
}

/**
 * Sends what is due, each message claimed first, so that any number of processes may do so at once.
 *
 * @remarks A process that ends between sending and saying so leaves its message to the next one, which sends it again
 *   with the same number: at least once. In every other case it is once.
 */
export async function sendDue(parts: SendingParts): Promise<SentCounts> {
  const counts = { sent: 0, waiting: 0, failed: 0, dropped: 0 };
  const takeAll = async (): Promise<void> => {
    for (;;) {
      const delivery = await claimNext(parts);
      if (delivery === null) return;
      const settled = await outcomeOf(parts, delivery);
      const isOurs = await parts.store.notices.settle(delivery.id, parts.by, settled);
      if (isOurs) counts[settled.state] += 1;
    }
  };
  await Promise.all(Array.from({ length: AT_ONCE }, takeAll));
  return counts;
}

async function claimNext({ store: { notices }, ways, by, now }: SendingParts): Promise<Delivery | null> {
  const nowMs = now();
  const claim: Claim = {
    by,
    ways: Object.keys(ways) as NoticeWay[],
    nowMs,
    untilMs: nowMs + LEASE_MS,
    furthestMs: nowMs + FURTHEST_MS,
  };
  return (await notices.hasDue(claim)) ? notices.claim(claim) : null;
}

async function outcomeOf({ store, ways, now }: SendingParts, delivery: Delivery): Promise<Settled> {
  const { notices, accounts } = store;
  const ended = (state: "sent" | "dropped" | "failed", trouble: string | null): Settled => ({
    state,
    atMs: now(),
    trouble,
  });
  const subscription = await notices.subscription(delivery.subscriptionId);
  const account =
    subscription === null || subscription.accountId === null
      ? null
      : await accounts.find(subscription.accountId);
  const recipient = subscription === null ? null : recipientOf(subscription, account);
  if (recipient === null) return ended("dropped", TROUBLE.unsubscribed);
  if (!mayRead(recipient, delivery.aboutSites)) return ended("dropped", TROUBLE.notTheirs);
  if (delivery.tries > MOST_TRIES) return ended("failed", TROUBLE.interrupted(MOST_TRIES));
  try {
    const { name, address } = recipient;
    if (address === null) throw new SendTrouble(TROUBLE.noAddress);
    const { way, secret } = recipient.subscription;
    const content = JSON.parse(delivery.content) as NoticeContent;
    await ways[way]!({ messageId: delivery.messageId, name, address, secret, content });
    return ended("sent", null);
  } catch (error) {
    if (!(error instanceof SendTrouble)) throw error;
    const delayMs = DELAYS_MS[delivery.tries - 1];
    if (delayMs === undefined) return ended("failed", error.message);
    return { state: "waiting", dueAtMs: now() + delayMs, trouble: error.message };
  }
}
