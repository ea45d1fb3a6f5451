import type { Account, Accounts, ApiToken } from "../../ingest/index.ts";
import { mayDo, ROLES, type Role } from "../access/roles.ts";
import { coversRole, isRole } from "./roles.ts";
import { digestOf, newSecret } from "./secrets.ts";

/** A token ends after so long at the latest. Unit: days. */
export const LONGEST_TOKEN_DAYS = 366;

/**
 * What a token of a person may be allowed to do: what some role may that does no more than the person's own.
 *
 * @remarks None lets a program look after people: whoever finds a token is not to make accounts with it.
 */
export function tokenRoles({ role }: Pick<Account, "role">): readonly Role[] {
  return ROLES.filter((other) => isRole(role) && coversRole(role, other) && !mayDo(other, "administer"));
}

/** @returns The token, to be shown once. */
export async function makeToken(
  accounts: Accounts,
  token: Omit<ApiToken, "id" | "digest" | "revokedAtMs">,
): Promise<string> {
  const secret = newSecret();
  await accounts.addToken({ ...token, digest: digestOf(secret), revokedAtMs: null });
  return secret;
}

/** Whether a token lets a program in. */
export function isValid({ revokedAtMs, endsAtMs }: ApiToken, nowMs: number): boolean {
  return revokedAtMs === null && nowMs < endsAtMs;
}
