import type { Kysely } from "kysely";
import type { KeptBooking } from "./booking-rows.ts";
import type { Tables } from "./tables.ts";
import { appendTrail, siteOf } from "./trail-queries.ts";

/** Kept bookings as queries that any database behind the store answers. */

/** Oldest first. */
export function selectBookings(db: Kysely<Tables>): Promise<KeptBooking[]> {
  return db
    .selectFrom("kept_booking as row")
    .innerJoin("instrument", "instrument.id", "row.instrument_id")
    .select([
      "row.id",
      "instrument.name as instrument",
      "row.week",
      "row.made_at_ms as madeAtMs",
      "row.by",
      "row.why",
    ])
    .orderBy("row.id")
    .execute();
}

/** Within a writing transaction. */
export async function insertBookings(
  db: Kysely<Tables>,
  decisions: readonly Omit<KeptBooking, "id">[],
): Promise<void> {
  const { last } = await db
    .selectFrom("kept_booking")
    .select((of) => of.fn.max("id").as("last"))
    .executeTakeFirstOrThrow();
  let id = Number(last ?? 0);
  for (const { instrument, week, madeAtMs, by, why } of decisions) {
    const unit = await db
      .selectFrom("instrument")
      .select("id")
      .where("name", "=", instrument)
      .executeTakeFirstOrThrow();
    id += 1;
    const site = await siteOf(db, instrument);
    await appendTrail(db, {
      action: "booked",
      about: instrument,
      site,
      after: { week, by, why },
      atMs: madeAtMs,
    });
    await db
      .insertInto("kept_booking")
      .values({ id, instrument_id: unit.id, week, made_at_ms: madeAtMs, by, why })
      .execute();
  }
}
