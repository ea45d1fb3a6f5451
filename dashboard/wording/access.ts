import type { Role } from "../access/roles.ts";
import { listed } from "./numbers.ts";

/** Sentences for those who may not. */

export const SIGN_IN_FIRST = "Sign in first.";

export const OF_ALL_SITES = "This concerns all sites, and you see some of them.";
export const OF_ALL_SITES_WAY_OUT = "It is for people who are not limited to sites.";

/** To somebody who is known, and whose role does not go so far. */
export function notAllowed(role: Role, roles: readonly Role[]): { message: string; wayOut: string } {
  return {
    message: `As ${role} you may not do this.`,
    wayOut: `It is for: ${listed(roles)}. An administrator gives roles.`,
  };
}
