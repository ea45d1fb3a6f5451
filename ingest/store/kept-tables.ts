import { type CreateTableBuilder, type Kysely, sql } from "kysely";
import type { JudgementKind } from "./kept.ts";
import type { Dialect } from "./migrations.ts";

export interface KeptTables {
  readonly frozen_limit: FrozenLimitRow;
  readonly fleet_figures: FleetFiguresRow;
  readonly forecast_record: ForecastRecordRow;
  readonly settings_change: SettingsChangeRow;
  readonly unit_judgement: JudgementRow;
}

interface FrozenLimitRow {
  readonly instrument_id: number;
  /** Empty: before the first service on record. */
  readonly life_from: string;
  readonly quantity: string;
  readonly frozen_on: string;
  readonly mean: number;
  readonly scale: number;
  readonly mean_weight: number;
  readonly df: number;
  readonly checks: number;
  readonly from_day: number;
  readonly to_day: number;
  readonly centre_day: number;
  readonly run_length: number;
  readonly per_month_per_100_units: number;
  readonly stray_share: number;
  readonly rate_variance: number | null;
  readonly wander_variance: number | null;
  readonly level_factor: number | null;
}

interface FleetFiguresRow {
  readonly as_of: string;
  readonly basis: string;
  readonly readings: number;
  readonly figures: string;
}

interface ForecastRecordRow {
  readonly as_of: string;
  readonly basis: string;
  readonly revision: number;
  readonly record: string;
}

interface SettingsChangeRow {
  readonly id: number;
  readonly set_at_ms: number;
  readonly by: string;
  readonly why: string | null;
  readonly from_day: string | null;
  readonly settings: string;
}

interface JudgementRow {
  readonly id: number;
  readonly kind: JudgementKind;
  readonly instrument_id: number;
  readonly made_at_ms: number;
  readonly by: string;
  readonly why: string;
  readonly checked_at_ms: number | null;
  readonly speed_rpm: number | null;
  readonly on_day: string | null;
  readonly undoes: number | null;
}

/** The tables of {@link KeptTables}. */
export async function createKeptTables(db: Kysely<unknown>, dialect: Dialect): Promise<void> {
  const { wholeNumber, number, tableEnd } = dialect;
  const create = (name: string) => db.schema.createTable(name).modifyEnd(tableEnd);

  let limits = create("frozen_limit")
    .addColumn("instrument_id", wholeNumber, (column) => column.notNull().references("instrument.id"))
    .addColumn("life_from", "text", (column) => column.notNull().check(sql`length(life_from) IN (0, 10)`))
    .addColumn("quantity", "text", (column) => column.notNull())
    .addColumn("frozen_on", "text", (column) =>
      column.notNull().check(sql`length(frozen_on) = 10`),
    ) as CreateTableBuilder<string, string>;
  for (const name of FROZEN_FIGURES) limits = limits.addColumn(name, number, (column) => column.notNull());
  await limits
    .addPrimaryKeyConstraint("frozen_limit_key", ["instrument_id", "life_from", "quantity"])
    .execute();

  await create("settings_change")
    .addColumn("id", wholeNumber, (column) => column.primaryKey())
    .addColumn("set_at_ms", wholeNumber, (column) => column.notNull())
    .addColumn("by", "text", (column) => column.notNull().check(sql`"by" <> ''`))
    .addColumn("settings", "text", (column) => column.notNull())
    .execute();

  await create("judgement")
    .addColumn("id", wholeNumber, (column) => column.primaryKey())
    .addColumn("kind", "text", (column) =>
      column.notNull().check(sql<boolean>`kind IN ('set-aside', 'step-cause', 'remark', 'undo')`),
    )
    .addColumn("instrument_id", wholeNumber, (column) => column.notNull().references("instrument.id"))
    .addColumn("made_at_ms", wholeNumber, (column) => column.notNull())
    .addColumn("by", "text", (column) => column.notNull().check(sql`"by" <> ''`))
    .addColumn("why", "text", (column) => column.notNull().check(sql`why <> ''`))
    .addColumn("checked_at_ms", wholeNumber)
    .addColumn("speed_rpm", number)
    .addColumn("on_day", "text", (column) => column.check(sql`length(on_day) = 10`))
    .addColumn("undoes", wholeNumber, (column) => column.unique().references("judgement.id"))
    .execute();
}

/** The table of what was learnt from the fleet: one row a day and basis. */
export async function createFiguresTable(db: Kysely<unknown>, dialect: Dialect): Promise<void> {
  await db.schema
    .createTable("fleet_figures")
    .modifyEnd(dialect.tableEnd)
    .addColumn("as_of", "text", (column) => column.notNull().check(sql`length(as_of) = 10`))
    .addColumn("basis", "text", (column) => column.notNull())
    .addColumn("readings", dialect.wholeNumber, (column) => column.notNull().check(sql`readings >= 0`))
    .addColumn("figures", "text", (column) => column.notNull())
    .addPrimaryKeyConstraint("fleet_figures_key", ["as_of", "basis"])
    .execute();
}

/** The table of records of past forecasts: one row a day and basis. */
export async function createRecordTable(db: Kysely<unknown>, dialect: Dialect): Promise<void> {
  await db.schema
    .createTable("forecast_record")
    .modifyEnd(dialect.tableEnd)
    .addColumn("as_of", "text", (column) => column.notNull().check(sql`length(as_of) = 10`))
    .addColumn("basis", "text", (column) => column.notNull())
    .addColumn("revision", dialect.wholeNumber, (column) => column.notNull())
    .addColumn("record", "text", (column) => column.notNull())
    .addPrimaryKeyConstraint("forecast_record_key", ["as_of", "basis"])
    .execute();
}

/** Why settings were changed, and since when they hold. */
export async function addSettingsReason(db: Kysely<unknown>): Promise<void> {
  await db.schema.alterTable("settings_change").addColumn("why", "text").execute();
  await db.schema
    .alterTable("settings_change")
    .addColumn("from_day", "text", (column) => column.check(sql`length(from_day) = 10`))
    .execute();
}

/** What limits allow for, and judgements of one more kind: the table is made anew, as a check cannot be changed. */
export async function addBaselineJudgements(db: Kysely<unknown>, dialect: Dialect): Promise<void> {
  const { wholeNumber, number } = dialect;
  const limits = () => db.schema.alterTable("frozen_limit");
  await limits()
    .addColumn("stray_share", number, (column) => column.notNull().defaultTo(0))
    .execute();
  await limits().addColumn("rate_variance", number).execute();
  await limits().addColumn("wander_variance", number).execute();

  await db.schema
    .createTable("unit_judgement")
    .modifyEnd(dialect.tableEnd)
    .addColumn("id", wholeNumber, (column) => column.primaryKey())
    .addColumn("kind", "text", (column) =>
      column.notNull().check(sql<boolean>`kind IN ('set-aside', 'step-cause', 'remark', 'baseline', 'undo')`),
    )
    .addColumn("instrument_id", wholeNumber, (column) => column.notNull().references("instrument.id"))
    .addColumn("made_at_ms", wholeNumber, (column) => column.notNull())
    .addColumn("by", "text", (column) => column.notNull().check(sql`"by" <> ''`))
    .addColumn("why", "text", (column) => column.notNull().check(sql`why <> ''`))
    .addColumn("checked_at_ms", wholeNumber)
    .addColumn("speed_rpm", number)
    .addColumn("on_day", "text", (column) => column.check(sql`length(on_day) = 10`))
    .addColumn("undoes", wholeNumber, (column) => column.unique().references("unit_judgement.id"))
    .execute();
  await sql`INSERT INTO unit_judgement SELECT id, kind, instrument_id, made_at_ms, "by", why, checked_at_ms, speed_rpm, on_day, undoes FROM judgement ORDER BY id`.execute(
    db,
  );
  await db.schema.dropTable("judgement").execute();
}

const FROZEN_FIGURES = [
  "mean",
  "scale",
  "mean_weight",
  "df",
  "checks",
  "from_day",
  "to_day",
  "centre_day",
  "run_length",
  "per_month_per_100_units",
] as const;

/** What level limits were multiplied by when they were frozen. */
export async function addLevelFactor(db: Kysely<unknown>, { number }: Dialect): Promise<void> {
  await db.schema.alterTable("frozen_limit").addColumn("level_factor", number).execute();
}
