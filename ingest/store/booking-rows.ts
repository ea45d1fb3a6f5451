/** Weeks that people keep for units to leave for service. Nothing of it is ever removed: what was kept is released by another row. */

/** One decision about a unit's week. */
export interface KeptBooking {
  readonly id: number;
  readonly instrument: string;
  /** ISO week like "2026-W20"; null: the unit is left to the plan again. */
  readonly week: string | null;
  readonly madeAtMs: number;
  readonly by: string;
  readonly why: string;
}

/** The kept bookings of a store. */
export interface KeptBookings {
  /** Oldest first, released ones and those that release them included. */
  list(): Promise<readonly KeptBooking[]>;
  /** Adds decisions, all or none; of two about one unit the last holds. */
  add(decisions: readonly Omit<KeptBooking, "id">[]): Promise<void>;
}
