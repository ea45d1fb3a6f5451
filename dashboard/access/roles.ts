/** Who may do what. The one table that every request is held against. */

/** From the one who only looks to the one who looks after the server. */
export const ROLES = ["reader", "checker", "planner", "engineer", "manager", "administrator"] as const;
export type Role = (typeof ROLES)[number];

/**
 * read: every page and figure of one's sites. take-in: send files, settle held rows. plan: keep bookings.
 * judge: notes on units, lots settled. govern: settings, findings of units found out of tolerance. administer: people,
 * tokens, the trail.
 */
export const ACTIONS = ["read", "take-in", "plan", "judge", "govern", "administer"] as const;
export type Action = (typeof ACTIONS)[number];

const ALLOWED: Readonly<Record<Role, readonly Action[]>> = {
  reader: ["read"],
  checker: ["read", "take-in"],
  planner: ["read", "plan"],
  engineer: ["read", "take-in", "judge"],
  manager: ["read", "take-in", "plan", "judge", "govern"],
  administrator: ACTIONS,
};

export function mayDo(role: Role, action: Action): boolean {
  return ALLOWED[role].includes(action);
}

/** The roles that may do something. */
export function rolesFor(action: Action): Role[] {
  return ROLES.filter((role) => mayDo(role, action));
}
