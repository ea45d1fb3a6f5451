import { randomUUID } from "node:crypto";
import { setTimeout as wait } from "node:timers/promises";
import type { Store } from "../../ingest/index.ts";
import type { Assessment } from "../assessment/views.ts";
import { queueDigests } from "./digest.ts";
import { noteTurns } from "./look.ts";
import type { NoticeSettings } from "./notice-settings.ts";
import { type SendingParts, type SentCounts, sendDue } from "./send-due.ts";
import { mailSender } from "./send-mail.ts";
import { webhookSender } from "./send-webhook.ts";

export interface NoticingParts {
  readonly store: Store;
  /** Looks at the fleet as of today. */
  readonly assessment: Pick<Assessment, "current">;
  readonly settings: NoticeSettings;
  readonly now: () => number;
  /** Told of what failed and is tried again, in one line, without names and addresses. */
  readonly say: (line: string) => void;
}

const EVERY_MS = 20_000;
const LONGEST_STOP_MS = 5000;

/** Looks, writes down what turned, and sends, again and again until it is stopped; safe in any number of processes. */
export function keepNoticing(parts: NoticingParts, everyMs = EVERY_MS): { stop(): Promise<void> } {
  const notice = noticing(parts);
  let underWay = Promise.resolve();
  let isBusy = false;
  let lastTrouble = "";
  const once = async (): Promise<void> => {
    isBusy = true;
    try {
      const { failed } = await notice();
      lastTrouble = "";
      if (failed > 0) parts.say(`${failed} notices could not be sent and wait on the page Notices`);
    } catch (error) {
      // The store may be busy or away: the next round tries again, and one line a trouble is enough.
      const trouble = error instanceof Error ? error.message.replace(/\s+/g, " ") : String(error);
      if (trouble !== lastTrouble) parts.say(`notices wait: ${trouble}`);
      lastTrouble = trouble;
    } finally {
      isBusy = false;
    }
  };
  const timer = setInterval(() => {
    if (!isBusy) underWay = once();
  }, everyMs);
  return {
    stop: async () => {
      clearInterval(timer);
      // What a slow address has not taken by then is left to whoever finds its claim run out.
      await Promise.race([underWay, wait(LONGEST_STOP_MS, undefined, { ref: false })]);
    },
  };
}

/** One round: looks at the fleet where somebody is told of anything, then sends what is due. */
export function noticing({ store, assessment, settings, now }: NoticingParts): () => Promise<SentCounts> {
  const sending = { store, ways: waysOf(settings, now), by: randomUUID(), now };
  return async () => {
    if ((await store.notices.subscriptions()).length > 0) {
      const fleet = await assessment.current();
      await noteTurns(store, fleet, now());
      await queueDigests(store, fleet, now());
    }
    return sendDue(sending);
  };
}

/** The ways by which notices can be sent from here. */
export function waysOf(
  { mail, webhooksInside, publicAddress }: NoticeSettings,
  now: () => number,
): SendingParts["ways"] {
  return {
    webhook: webhookSender(webhooksInside, now),
    ...(mail !== null && { email: mailSender(mail, publicAddress) }),
  };
}
