import { type Kysely, sql } from "kysely";
import type { Dialect } from "./migrations.ts";

export interface BookingTables {
  readonly kept_booking: KeptBookingRow;
}

interface KeptBookingRow {
  readonly id: number;
  readonly instrument_id: number;
  readonly week: string | null;
  readonly made_at_ms: number;
  readonly by: string;
  readonly why: string;
}

export async function createBookingTable(db: Kysely<unknown>, dialect: Dialect): Promise<void> {
  const { wholeNumber, tableEnd } = dialect;
  await db.schema
    .createTable("kept_booking")
    .addColumn("id", wholeNumber, (column) => column.primaryKey())
    .addColumn("instrument_id", wholeNumber, (column) => column.notNull().references("instrument.id"))
    .addColumn("week", "text", (column) => column.check(sql`length(week) = 8`))
    .addColumn("made_at_ms", wholeNumber, (column) => column.notNull())
    .addColumn("by", "text", (column) => column.notNull().check(sql`"by" <> ''`))
    .addColumn("why", "text", (column) => column.notNull().check(sql`why <> ''`))
    .modifyEnd(tableEnd)
    .execute();
}
