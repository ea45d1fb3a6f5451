import { ACTIONS, mayDo, ROLES, type Role } from "../access/roles.ts";

/** Whether a stored word is a role of this version. */
export function isRole(word: string): word is Role {
  return (ROLES as readonly string[]).includes(word);
}

/** Whether somebody of one role may do all that the other may. */
export function coversRole(role: Role, other: Role): boolean {
  return ACTIONS.every((action) => mayDo(role, action) || !mayDo(other, action));
}
