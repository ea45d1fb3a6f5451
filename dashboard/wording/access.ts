import type { Role } from "../access/roles.ts";
import { listed } from "./numbers.ts";

/** Sentences for those who may not. */

export const SIGN_IN_FIRST = "Sign in first.";

/** To somebody who is known, and whose role does not go so far. */
export function notAllowed(role: Role, roles: readonly Role[]): { message: string; wayOut: string } {
  return {
    message: `As ${role} you may not do this.`,
    wayOut: `It is for: ${listed(roles)}. An administrator gives roles.`,
  };
}
