import {
  type CreateTableBuilder,
  type ForeignKeyConstraintBuilderCallback,
  type Kysely,
  type RawBuilder,
  sql,
} from "kysely";
import type { MigrationProvider } from "kysely/migration";
import { createAccountTables } from "./account-tables.ts";
import { createBookingTable } from "./booking-tables.ts";
import { createFindingTables } from "./finding-tables.ts";
import { createHeldTables } from "./held-tables.ts";
import {
  addBaselineJudgements,
  addLevelFactor,
  addSettingsReason,
  createFiguresTable,
  createKeptTables,
  createRecordTable,
} from "./kept-tables.ts";
import { createNoticeTables } from "./notice-tables.ts";
import { FILE_KINDS, FLAGS, FLUID_TYPES, REASONS, SERVICE_ACTIONS, STAGES, USAGES } from "./store.ts";
import { NAME_TABLES } from "./tables.ts";
import { createTrailTable } from "./trail-tables.ts";

/** What a database calls its column types, and what it wants after the closing bracket of a table. */
export interface Dialect {
  readonly wholeNumber: RawBuilder<unknown>;
  readonly number: RawBuilder<unknown>;
  readonly tableEnd: RawBuilder<unknown>;
  /** For tables that are stored in the order of their key. */
  readonly keyedTableEnd: RawBuilder<unknown>;
  /** Statements after which rows of a table can be added only. */
  readonly onlyAppended: (table: string) => readonly RawBuilder<unknown>[];
}

/** The steps from an empty database to the present tables. A step that was released is never changed. */
export function migrationsFor(dialect: Dialect): MigrationProvider {
  return {
    getMigrations: async () => ({
      "001-first-tables": { up: (db) => createFirstTables(db, dialect) },
      "002-kept-limits-settings-judgements": { up: (db) => createKeptTables(db, dialect) },
      "003-results-findings": { up: (db) => createFindingTables(db, dialect) },
      "004-fleet-figures": { up: (db) => createFiguresTable(db, dialect) },
      "005-forecast-record": { up: (db) => createRecordTable(db, dialect) },
      "006-held-rows": { up: (db) => createHeldTables(db, dialect) },
      "007-settings-reason": { up: (db) => addSettingsReason(db) },
      "008-baseline-judgements": { up: (db) => addBaselineJudgements(db, dialect) },
      "009-accounts": { up: (db) => createAccountTables(db, dialect) },
      "010-kept-bookings": { up: (db) => createBookingTable(db, dialect) },
      "011-notices": { up: (db) => createNoticeTables(db, dialect) },
      "012-trail": { up: (db) => createTrailTable(db, dialect) },
      "013-level-factor": { up: (db) => addLevelFactor(db, dialect) },
    }),
  };
}

type Table = CreateTableBuilder<string, string>;

async function createFirstTables(db: Kysely<unknown>, dialect: Dialect): Promise<void> {
  const { wholeNumber, number } = dialect;
  const create = (name: string, columns: (table: Table) => Table, end = dialect.tableEnd) =>
    columns(db.schema.createTable(name) as Table)
      .modifyEnd(end)
      .execute();

  await create("store_state", (table) =>
    table
      .addColumn("id", wholeNumber, (column) => column.primaryKey().check(sql`id = 1`))
      .addColumn("revision", wholeNumber, (column) => column.notNull()),
  );
  await sql`INSERT INTO store_state (id, revision) VALUES (1, 0)`.execute(db);

  for (const name of NAME_TABLES) {
    await create(name, (table) =>
      table
        .addColumn("id", wholeNumber, (column) => column.primaryKey())
        .addColumn("name", "text", (column) => column.notNull().unique().check(sql`name <> ''`)),
    );
  }

  await create("instrument_register", (table) =>
    table
      .addColumn("instrument_id", wholeNumber, (column) => column.primaryKey().references("instrument.id"))
      .addColumn("site_id", wholeNumber, (column) => column.references("site.id"))
      .addColumn("model_class", "text")
      .addColumn("full_scale_torque_unm", number, (column) => column.check(sql`full_scale_torque_unm > 0`))
      .addColumn("usage", "text", (column) => column.check(oneOf("usage", USAGES)))
      .addColumn("in_service_since", "text", (column) => column.check(isDay("in_service_since")))
      .addColumn("last_service", "text", (column) => column.check(isDay("last_service")))
      .addColumn("next_service_due", "text", (column) => column.check(isDay("next_service_due"))),
  );

  await create("service", (table) =>
    table
      .addColumn("instrument_id", wholeNumber, (column) => column.notNull().references("instrument.id"))
      .addColumn("serviced_at", "text", (column) => column.notNull().check(isDay("serviced_at")))
      .addColumn("action", "text", (column) => column.notNull().check(oneOf("action", SERVICE_ACTIONS)))
      .addPrimaryKeyConstraint("service_key", ["instrument_id", "serviced_at", "action"]),
  );

  await create("fluid_register", (table) =>
    table
      .addColumn("fluid_lot_id", wholeNumber, (column) => column.primaryKey().references("fluid_lot.id"))
      .addColumn("fluid_type", "text", (column) => column.check(oneOf("fluid_type", FLUID_TYPES)))
      .addColumn("nominal_mpas", number, (column) => column.check(sql`nominal_mpas > 0`))
      .addColumn("certified_mpas", number, (column) => column.check(sql`certified_mpas > 0`))
      .addColumn("expanded_uncertainty_percent", number, (column) =>
        column.check(sql`expanded_uncertainty_percent >= 0`),
      )
      .addColumn("reference_temperature_c", number)
      .addColumn("temperature_coefficient_percent_per_k", number)
      .addColumn("expires_on", "text", (column) => column.check(isDay("expires_on"))),
  );

  await create("geometry_register", (table) =>
    table
      .addColumn("geometry_id", wholeNumber, (column) => column.primaryKey().references("geometry.id"))
      .addColumn("bob_radius_mm", number, (column) => column.check(sql`bob_radius_mm > 0`))
      .addColumn("cup_radius_mm", number, (column) => column.check(sql`cup_radius_mm > 0`))
      .addColumn("bob_length_mm", number, (column) => column.check(sql`bob_length_mm > 0`))
      .addColumn("end_factor", number, (column) => column.check(sql`end_factor > 0`)),
  );

  await create("file", (table) =>
    table
      .addColumn("id", wholeNumber, (column) => column.primaryKey())
      .addColumn("file", "text", (column) => column.notNull())
      .addColumn("kind", "text", (column) => column.notNull().check(oneOf("kind", FILE_KINDS)))
      .addColumn("sha256", "text", (column) => column.notNull().check(sql`length(sha256) = 64`))
      .addColumn("profile_sha256", "text", (column) => column.notNull())
      .addColumn("taken_in_at_ms", wholeNumber, (column) => column.notNull())
      .addColumn("rows", wholeNumber, (column) => column.notNull())
      .addColumn("accepted", wholeNumber, (column) => column.notNull())
      .addColumn("repeated", wholeNumber, (column) => column.notNull())
      .addColumn("quarantined", wholeNumber, (column) => column.notNull())
      .addColumn("flagged", wholeNumber, (column) => column.notNull())
      .addCheckConstraint(
        "nothing_lost",
        sql`"rows" = accepted + repeated + quarantined AND flagged <= accepted`,
      ),
  );
  await db.schema.createIndex("file_by_bytes").on("file").columns(["sha256", "profile_sha256"]).execute();

  await create(
    "reading",
    (table) =>
      table
        .addColumn("instrument_id", wholeNumber, (column) => column.notNull().references("instrument.id"))
        .addColumn("checked_at_ms", wholeNumber, (column) => column.notNull())
        .addColumn("speed_rpm", number, (column) => column.notNull().check(sql`speed_rpm > 0`))
        .addColumn("reading_mpas", number, (column) => column.notNull().check(sql`reading_mpas >= 0`))
        .addColumn("fluid_value_mpas", number, (column) => column.notNull().check(sql`fluid_value_mpas > 0`))
        .addColumn("full_scale_range_mpas", number, (column) =>
          column.notNull().check(sql`full_scale_range_mpas > 0`),
        )
        .addColumn("torque_percent", number, (column) => column.check(sql`torque_percent BETWEEN 0 AND 100`))
        .addColumn("temperature_c", number)
        .addColumn("fluid_lot_id", wholeNumber, (column) => column.references("fluid_lot.id"))
        .addColumn("geometry_id", wholeNumber, (column) => column.references("geometry.id"))
        .addColumn("site_id", wholeNumber, (column) => column.references("site.id"))
        .addColumn("operator_id", wholeNumber, (column) => column.references("operator.id"))
        .addColumn("check_id", "text")
        .addColumn("stage", wholeNumber, (column) =>
          column.notNull().check(sql`stage BETWEEN 0 AND ${sql.lit(STAGES.length - 1)}`),
        )
        .addColumn("flags", wholeNumber, (column) =>
          column.notNull().check(sql`flags BETWEEN 0 AND ${sql.lit(2 ** FLAGS.length - 1)}`),
        )
        .addColumn("file_id", wholeNumber, (column) => column.notNull())
        .addColumn("line", wholeNumber, (column) => column.notNull())
        .addPrimaryKeyConstraint("reading_key", ["instrument_id", "checked_at_ms", "speed_rpm"])
        .addForeignKeyConstraint("reading_file", ["file_id"], "file", ["id"], checkedAtCommit),
    dialect.keyedTableEnd,
  );

  await create("quarantined_row", (table) =>
    table
      .addColumn("id", wholeNumber, (column) => column.primaryKey())
      .addColumn("file_id", wholeNumber, (column) => column.notNull())
      .addColumn("line", wholeNumber, (column) => column.notNull())
      .addColumn("column", wholeNumber, (column) => column.notNull())
      .addColumn("part", wholeNumber, (column) => column.notNull())
      .addColumn("reason", "text", (column) => column.notNull().check(oneOf("reason", REASONS)))
      .addColumn("message", "text", (column) => column.notNull())
      .addColumn("raw", "text", (column) => column.notNull())
      .addColumn("digest", "text", (column) => column.notNull().unique())
      .addForeignKeyConstraint("quarantined_row_file", ["file_id"], "file", ["id"], checkedAtCommit),
  );
}

/** A file's own row is written last, with its counts: rows that refer to it are checked at the commit. */
const checkedAtCommit: ForeignKeyConstraintBuilderCallback = (constraint) =>
  constraint.deferrable().initiallyDeferred();

function oneOf(column: string, words: readonly string[]) {
  return sql<boolean>`${sql.ref(column)} IN (${sql.join(words.map((word) => sql.lit(word)))})`;
}

/** Days are kept as ISO text of one length, so that they sort and compare as text. */
function isDay(column: string) {
  return sql<boolean>`length(${sql.ref(column)}) = 10`;
}
