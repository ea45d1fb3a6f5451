import { IANAZone } from "luxon";
import type { Account, Delivery, NoticeChoice, NoticeWay, Store, Subscription } from "../../ingest/index.ts";
import { askerMayForAll, whoAsks } from "../access/person.ts";
import { isEmailAddress, isWebhookAddress } from "../notices/addresses.ts";

/** What one is told of, and where it is chosen. */
export interface NoticesPage {
  /** Of whoever asks; without sign-in, of everybody at this machine. */
  readonly own: readonly ChosenWay[];
  /** Of others, for those who administer. */
  readonly others: readonly Subscription[];
  /** What could not be sent, for those who administer. */
  readonly failed: readonly (Delivery & { readonly to: string })[];
  readonly asker: Asker;
  readonly typed: NoticeTyped;
  readonly refusal: NoticeFault | null;
}

export interface ChosenWay {
  readonly subscription: Subscription;
  readonly latest: readonly Delivery[];
}

/** Who chooses. */
export interface Asker {
  /** null: nobody is asked to sign in. */
  readonly account: Account | null;
  /** Sites to choose from. */
  readonly sites: readonly string[];
}

/** A choice as it was typed. */
export interface NoticeTyped extends NoticeChoice {
  readonly way: string;
  readonly name: string;
  readonly address: string;
  /** As typed; `digest` is null where it is none. */
  readonly weekday: string;
  readonly hour: string;
}

export type NoticeFault = "way" | "name" | "email" | "no-email" | "webhook" | "sites" | "nothing" | "time";

const MOST_SHOWN = 3;
const MOST_FAILED = 50;

export const NOTHING_TYPED: NoticeTyped = {
  ...{ way: "email", name: "", address: "", sites: null, atOnce: true },
  ...{ digest: { weekday: 1, hour: 7 }, weekday: "1", hour: "7", timeZone: "UTC" },
};

export async function noticesPage(
  store: Store,
  typed: NoticeTyped,
  refusal: NoticeFault | null,
): Promise<NoticesPage> {
  const asker = await askerOf(store);
  const all = await store.notices.subscriptions();
  const administers = askerMayForAll("administer");
  const own = all.filter((one) => isOwn(one, asker));
  const failed = administers ? await store.notices.deliveries({ state: "failed", limit: MOST_FAILED }) : [];
  const nameOf = new Map(all.map(({ id, name }) => [id, name]));
  return {
    asker,
    typed,
    refusal,
    own: await Promise.all(
      own.map(async (subscription) => ({
        subscription,
        latest: await store.notices.deliveries({ subscriptionId: subscription.id, limit: MOST_SHOWN }),
      })),
    ),
    others: administers ? all.filter((one) => !isOwn(one, asker)) : [],
    failed: failed.map((one) => ({ ...one, to: nameOf.get(one.subscriptionId) ?? "no longer told" })),
  };
}

export async function askerOf(store: Store): Promise<Asker> {
  const { name, sites } = whoAsks();
  const registered = (await store.instruments()).flatMap(({ site }) => site ?? []);
  return {
    account: name === null ? null : await store.accounts.findByName(name),
    sites: [...new Set(registered)].filter((site) => sites === null || sites.includes(site)).sort(),
  };
}

/** Whether a subscription is that of whoever asks. */
export function isOwn({ accountId }: Subscription, { account }: Asker): boolean {
  return accountId === (account?.id ?? null);
}

/** The first thing that stands against a choice; null: nothing does. */
export function faultOf(typed: NoticeTyped, { account, sites }: Asker): NoticeFault | null {
  const { way, name, address } = typed;
  if (way !== "email" && way !== "webhook") return "way";
  if (account === null && (name === "" || name.length > 100 || /\p{C}/u.test(name))) return "name";
  if (way === "email" && account === null && !isEmailAddress(address)) return "email";
  if (way === "email" && account !== null && account.email === null) return "no-email";
  // Whether it lies in a network of our own is looked at whenever something is sent.
  if (way === "webhook" && !isWebhookAddress(address, true)) return "webhook";
  return choiceFault(typed, sites);
}

/** The same of what can be changed later. */
export function choiceFault(typed: NoticeTyped, sites: readonly string[]): NoticeFault | null {
  if (typed.sites !== null && (typed.sites.length === 0 || typed.sites.some((site) => !sites.includes(site))))
    return "sites";
  if (!typed.atOnce && typed.digest === null) return "nothing";
  if (typed.digest !== null && !(isWithin(typed.weekday, 1, 7) && isWithin(typed.hour, 0, 23))) return "time";
  return IANAZone.isValidZone(typed.timeZone) ? null : "time";
}

/** What a sound form chooses. */
export function subscriptionOf(
  { way, name, address, sites, atOnce, digest, timeZone }: NoticeTyped,
  { account }: Asker,
  secret: string | null,
  nowMs: number,
): Omit<Subscription, "id" | "endedAtMs"> {
  return {
    accountId: account?.id ?? null,
    name: account?.name ?? name,
    way: way as NoticeWay,
    address: way === "email" && account !== null ? null : address,
    secret,
    ...{ sites, atOnce, digest, timeZone },
    chosenAtMs: nowMs,
  };
}

/** A choice that stands, to be changed. */
export function typedOf({ digest, address, ...rest }: Subscription): NoticeTyped {
  return {
    ...rest,
    digest,
    address: address ?? "",
    weekday: String(digest?.weekday ?? 1),
    hour: String(digest?.hour ?? 7),
  };
}

function isWithin(text: string, least: number, most: number): boolean {
  return /^\d{1,2}$/.test(text) && Number(text) >= least && Number(text) <= most;
}
