import type { IncomingMessage } from "node:http";
import type { Account, Accounts, ApiToken, Session } from "../../ingest/index.ts";
import type { Person } from "../access/person.ts";
import { coversRole, isRole } from "./roles.ts";
import { digestOf, isSecret } from "./secrets.ts";
import { cookieOf, sessionCookie } from "./session-cookie.ts";

/** A session that nobody uses for so long has ended. Unit: ms. */
export const IDLE_MS = 8 * 3_600_000;
/** A session ends after so long in any case. Unit: ms. */
export const LONGEST_SESSION_MS = 24 * 3_600_000;

/** That a session is in use is written down so often at most. Unit: ms. */
const NOTED_EVERY_MS = 60_000;

export interface SignedInBy {
  readonly accounts: Accounts;
  readonly now: () => number;
  /** Whether browsers reach this server by HTTPS. */
  readonly secure: boolean;
  /** Digests of the sessions whose use is being written down. */
  readonly beingNoted: Set<string>;
}

/**
 * Who sends a request: by the token in its header `Authorization: Bearer …`, else by the session in its cookie.
 *
 * @remarks A request with an Authorization header is judged by that alone: a bad token is nobody, whatever the cookie.
 *   Browsers send no such header by themselves, so that a request with one needs no look at where it comes from.
 * @returns null where nobody is signed in, or no longer.
 */
export async function personOf(by: SignedInBy, request: IncomingMessage): Promise<Person | null> {
  const { authorization } = request.headers;
  if (authorization !== undefined) {
    const [, secret] = /^Bearer +([\w-]+)$/i.exec(authorization) ?? [];
    return secret === undefined ? null : personOfToken(by, secret);
  }
  const found = await sessionOf(by, request);
  return found === null ? null : asPersonOf(found.account);
}

/** The session in which a browser's request is sent, and whose it is; null where there is none that goes on. */
export async function sessionOf(
  { accounts, now, secure, beingNoted }: SignedInBy,
  request: IncomingMessage,
): Promise<{ readonly session: Session; readonly account: Account } | null> {
  const secret = cookieOf(request, sessionCookie(secure));
  if (secret === null || !isSecret(secret)) return null;
  const found = await accounts.session(digestOf(secret));
  const nowMs = now();
  if (found === null || !goesOn(found.session, nowMs) || found.account.disabledAtMs !== null) return null;
  const { digest, lastUsedAtMs } = found.session;
  if (nowMs - lastUsedAtMs >= NOTED_EVERY_MS && !beingNoted.has(digest)) {
    beingNoted.add(digest);
    // Not waited for: a page need not stand still while a file is being written. Where it fails, the next one tries.
    accounts
      .useSession(digest, nowMs)
      .catch(() => undefined)
      .finally(() => beingNoted.delete(digest));
  }
  return found;
}

async function personOfToken({ accounts, now }: SignedInBy, secret: string): Promise<Person | null> {
  const found = isSecret(secret) ? await accounts.token(digestOf(secret)) : null;
  if (found === null || found.account.disabledAtMs !== null) return null;
  const { token, account } = found;
  if (token.revokedAtMs !== null || now() >= token.endsAtMs) return null;
  return withinBoth(asPersonOf(account), token);
}

/** A token never does or sees more than its person does now. */
function withinBoth(person: Person, token: ApiToken): Person {
  const role = isRole(token.role) && coversRole(person.role, token.role) ? token.role : "reader";
  const { sites } = person;
  if (token.sites === null) return { ...person, role };
  return {
    ...person,
    role,
    sites: sites === null ? token.sites : token.sites.filter((site) => sites.includes(site)),
  };
}

/** An account's role that this version does not know may read. */
function asPersonOf({ name, role, sites }: Account): Person {
  return { name, role: isRole(role) ? role : "reader", sites };
}

function goesOn({ begunAtMs, lastUsedAtMs, endsAtMs }: Session, nowMs: number): boolean {
  // A clock that was set back makes no session last longer.
  return nowMs >= begunAtMs - NOTED_EVERY_MS && nowMs < endsAtMs && nowMs - lastUsedAtMs < IDLE_MS;
}
