import type { Account, Subscription } from "../../ingest/index.ts";

/** One way in which one person is told, with what that person may know now. */
export interface Recipient {
  readonly subscription: Subscription;
  readonly name: string;
  /** An e-mail address or a web address; null: none is known. */
  readonly address: string | null;
  /** The sites that the person sees and asked for; null: all of them. */
  readonly sites: readonly string[] | null;
}

/** Who is told, of those whose accounts are in use. */
export function recipientsOf(
  subscriptions: readonly Subscription[],
  accounts: readonly Account[],
): Recipient[] {
  const byId = new Map(accounts.map((account) => [account.id, account]));
  return subscriptions.flatMap((subscription) => {
    const account = subscription.accountId === null ? null : byId.get(subscription.accountId);
    return recipientOf(subscription, account) ?? [];
  });
}

/**
 * One recipient as things are now.
 *
 * @param account null: a subscription of somebody without one; undefined: there is no such account.
 * @returns null where the subscription has ended or its account is not in use.
 */
export function recipientOf(
  subscription: Subscription,
  account: Account | null | undefined,
): Recipient | null {
  if (subscription.endedAtMs !== null || account === undefined) return null;
  if (account !== null && account.disabledAtMs !== null) return null;
  return {
    subscription,
    name: account?.name ?? subscription.name,
    address: subscription.address ?? account?.email ?? null,
    sites: inBoth(subscription.sites, account === null ? null : account.sites),
  };
}

/** Those of some sites that a recipient is told of. */
export function sitesTold({ sites }: Pick<Recipient, "sites">, of: readonly string[]): readonly string[] {
  return sites === null ? of : of.filter((site) => sites.includes(site));
}

/** Whether a recipient may read what speaks of some sites; null: what only those may read who see all. */
export function mayRead({ sites }: Pick<Recipient, "sites">, about: readonly string[] | null): boolean {
  return sites === null || about?.every((site) => sites.includes(site)) === true;
}

function inBoth(a: readonly string[] | null, b: readonly string[] | null): readonly string[] | null {
  if (a === null || b === null) return a ?? b;
  return a.filter((site) => b.includes(site));
}
