import type { Kysely } from "kysely";
import type { FrozenLimit, Judgement, KeptFigures, KeptRecord, SettingsChange } from "./kept.ts";
import type { Tables } from "./tables.ts";
import { appendTrail, siteOf } from "./trail-queries.ts";

/** What people and earlier runs left, as queries that any database behind the store answers. */

/** Rows of one statement: well below the number of values that a statement may hold. */
const ROWS_AT_ONCE = 500;

export async function selectFrozenLimits(db: Kysely<Tables>, instrument?: string): Promise<FrozenLimit[]> {
  let query = db
    .selectFrom("frozen_limit as row")
    .innerJoin("instrument", "instrument.id", "row.instrument_id")
    .select([
      "instrument.name as instrument",
      "row.life_from as lifeFrom",
      "row.quantity",
      "row.frozen_on as frozenOn",
      "row.mean",
      "row.scale",
      "row.mean_weight as meanWeight",
      "row.df",
      "row.checks",
      "row.from_day as fromDay",
      "row.to_day as toDay",
      "row.centre_day as centreDay",
      "row.run_length as runLength",
      "row.per_month_per_100_units as perMonthPer100Units",
      "row.stray_share as strayShare",
      "row.level_factor as levelFactor",
      "row.rate_variance as rateVariance",
      "row.wander_variance as wanderVariance",
    ]);
  if (instrument !== undefined) query = query.where("instrument.name", "=", instrument);
  const rows = await query.execute();
  return rows.map((row) => ({ ...row, lifeFrom: row.lifeFrom === "" ? null : row.lifeFrom }));
}

/** The figures learnt last as of a day or before it. */
export async function selectFigures(
  db: Kysely<Tables>,
  asOf: string,
  basis: string,
): Promise<KeptFigures | null> {
  const row = await db
    .selectFrom("fleet_figures")
    .select(["as_of as asOf", "readings", "basis", "figures"])
    .where("as_of", "<=", asOf)
    .where("basis", "=", basis)
    .orderBy("as_of", "desc")
    .executeTakeFirst();
  return row ?? null;
}

/** Keeps figures, in place of those learnt as of the same day. */
export async function insertFigures(
  db: Kysely<Tables>,
  { asOf, readings, basis, figures }: KeptFigures,
): Promise<void> {
  await db
    .insertInto("fleet_figures")
    .values({ as_of: asOf, readings, basis, figures })
    .onConflict((on) => on.columns(["as_of", "basis"]).doUpdateSet({ readings, figures }))
    .execute();
}

/** The record worked out last as of a day or before it. */
export async function selectRecord(
  db: Kysely<Tables>,
  asOf: string,
  basis: string,
): Promise<KeptRecord | null> {
  const row = await db
    .selectFrom("forecast_record")
    .select(["as_of as asOf", "basis", "revision", "record"])
    .where("as_of", "<=", asOf)
    .where("basis", "=", basis)
    .orderBy("as_of", "desc")
    .executeTakeFirst();
  return row ?? null;
}

/** Keeps a record, in place of those as of the same day and earlier ones: each holds the whole past. */
export async function insertRecord(
  db: Kysely<Tables>,
  { asOf, basis, revision, record }: KeptRecord,
): Promise<void> {
  await db
    .insertInto("forecast_record")
    .values({ as_of: asOf, basis, revision, record })
    .onConflict((on) => on.columns(["as_of", "basis"]).doUpdateSet({ revision, record }))
    .execute();
  await db.deleteFrom("forecast_record").where("as_of", "<", asOf).where("basis", "=", basis).execute();
}

/** Keeps limits that are not there yet; those that are stay as they are. */
export async function insertFrozenLimits(db: Kysely<Tables>, limits: readonly FrozenLimit[]): Promise<void> {
  const names = await db.selectFrom("instrument").select(["id", "name"]).execute();
  const idOf = new Map(names.map(({ id, name }) => [name, id]));
  for (let from = 0; from < limits.length; from += ROWS_AT_ONCE) {
    const values = limits.slice(from, from + ROWS_AT_ONCE).map((limit) => ({
      instrument_id: idOf.get(limit.instrument)!,
      life_from: limit.lifeFrom ?? "",
      quantity: limit.quantity,
      frozen_on: limit.frozenOn,
      mean: limit.mean,
      scale: limit.scale,
      mean_weight: limit.meanWeight,
      df: limit.df,
      checks: limit.checks,
      from_day: limit.fromDay,
      to_day: limit.toDay,
      centre_day: limit.centreDay,
      run_length: limit.runLength,
      per_month_per_100_units: limit.perMonthPer100Units,
      stray_share: limit.strayShare,
      level_factor: limit.levelFactor,
      rate_variance: limit.rateVariance,
      wander_variance: limit.wanderVariance,
    }));
    await db
      .insertInto("frozen_limit")
      .values(values)
      .onConflict((conflict) => conflict.doNothing())
      .execute();
  }
}

/** In the order in which they were decided, whatever the clock said. */
export function selectSettingsChanges(db: Kysely<Tables>): Promise<SettingsChange[]> {
  return db
    .selectFrom("settings_change")
    .select(["set_at_ms as setAtMs", "by", "why", "from_day as fromDay", "settings"])
    .orderBy("id")
    .execute();
}

export async function insertSettingsChange(db: Kysely<Tables>, change: SettingsChange): Promise<void> {
  const id = await nextId(db, "settings_change");
  const [inForce] = (await selectSettingsChanges(db)).slice(-1);
  const { setAtMs, settings, ...after } = change;
  await appendTrail(db, {
    action: "changed-settings",
    about: "settings",
    before: inForce === undefined ? null : { settings: JSON.parse(inForce.settings) },
    after: { ...after, settings: JSON.parse(settings) },
    atMs: setAtMs,
  });
  await db
    .insertInto("settings_change")
    .values({
      id,
      set_at_ms: change.setAtMs,
      by: change.by,
      why: change.why,
      from_day: change.fromDay,
      settings: change.settings,
    })
    .execute();
}

/** Oldest first. */
export function selectJudgements(db: Kysely<Tables>): Promise<Judgement[]> {
  return db
    .selectFrom("unit_judgement as row")
    .innerJoin("instrument", "instrument.id", "row.instrument_id")
    .select([
      "row.id",
      "row.kind",
      "instrument.name as instrument",
      "row.made_at_ms as madeAtMs",
      "row.by",
      "row.why",
      "row.checked_at_ms as checkedAtMs",
      "row.speed_rpm as speedRpm",
      "row.on_day as onDay",
      "row.undoes",
    ])
    .orderBy("row.id")
    .execute();
}

/** @returns Its number, by which it can be undone. */
export async function insertJudgement(db: Kysely<Tables>, judgement: Omit<Judgement, "id">): Promise<number> {
  const id = await nextId(db, "unit_judgement");
  const { instrument, madeAtMs, ...after } = judgement;
  const site = await siteOf(db, instrument);
  await appendTrail(db, {
    action: "noted",
    about: instrument,
    site,
    after: { id, ...after },
    atMs: madeAtMs,
  });
  const { id: instrumentId } = await db
    .selectFrom("instrument")
    .select("id")
    .where("name", "=", judgement.instrument)
    .executeTakeFirstOrThrow();
  await db
    .insertInto("unit_judgement")
    .values({
      id,
      kind: judgement.kind,
      instrument_id: instrumentId,
      made_at_ms: judgement.madeAtMs,
      by: judgement.by,
      why: judgement.why,
      checked_at_ms: judgement.checkedAtMs,
      speed_rpm: judgement.speedRpm,
      on_day: judgement.onDay,
      undoes: judgement.undoes,
    })
    .execute();
  return id;
}

/** Within a writing transaction, so that no other writer can take the same number. */
async function nextId(db: Kysely<Tables>, table: "settings_change" | "unit_judgement"): Promise<number> {
  const { last } = await db
    .selectFrom(table)
    .select((of) => of.fn.max("id").as("last"))
    .executeTakeFirstOrThrow();
  return Number(last ?? 0) + 1;
}
