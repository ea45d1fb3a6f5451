import type { Kysely } from "kysely";
import { insertBookings, selectBookings } from "./booking-queries.ts";
import type { KeptBooking, KeptBookings } from "./booking-rows.ts";
import type { Tables } from "./tables.ts";

/** What the kept bookings need of the store around them. */
interface Around {
  reads(): Kysely<Tables>;
  write(change: (db: Kysely<Tables>) => Promise<void>): Promise<void>;
}

/** The kept bookings of a store, by queries that any database answers. */
export class QueriedBookings implements KeptBookings {
  readonly #around: Around;

  constructor(around: Around) {
    this.#around = around;
  }

  list(): Promise<KeptBooking[]> {
    return selectBookings(this.#around.reads());
  }

  async add(decisions: readonly Omit<KeptBooking, "id">[]): Promise<void> {
    if (decisions.length > 0) await this.#around.write((db) => insertBookings(db, decisions));
  }
}
