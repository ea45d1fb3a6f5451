import { type BackTest, FIGURES_FORM } from "../../analysis/index.ts";
import { type KeptRecord, type Store, StoreError } from "../../ingest/index.ts";
import type { Settings } from "../settings.ts";
import { settingsInForce } from "../settings-in-force.ts";
import { dayOfIso } from "./days.ts";
import { forecastRecord, type OnProgress } from "./forecast-record.ts";

/** Days between the days replayed, unless told otherwise: a quarter. */
export const EVERY_DAYS = 91;

/** The past is replayed back to this long ago. Unit: days. */
const LONGEST_PAST_DAYS = 1096;

/** Counts up when records of an earlier form may no longer be used. */
const RECORD_FORM = 2;

/** How past forecasts came true, as of a day. */
export interface TrackRecord {
  /** ISO day. */
  readonly asOf: string;
  readonly revision: number;
  readonly everyDays: number;
  /** null: no forecast of the past can be held against anything yet. */
  readonly backTest: BackTest | null;
}

/** The record worked out last as of this day or before it; null: none was. Nothing is worked out. */
export async function keptRecord(
  store: Store,
  asOf: string,
  everyDays = EVERY_DAYS,
): Promise<TrackRecord | null> {
  const { settings } = await settingsInForce(store, asOf);
  const kept = await store.record(asOf, basisOf(settings, everyDays));
  if (kept === null) return null;
  return { asOf: kept.asOf, revision: kept.revision, everyDays, backTest: JSON.parse(kept.record) };
}

/** Whether it is of this very day and state of the store. */
export function isCurrent(record: TrackRecord | null, asOf: string, revision: number): boolean {
  return record?.asOf === asOf && record.revision === revision;
}

/** The record as of a day: the kept one where it is of this state of the store, else worked out and kept. */
export async function trackRecord(
  store: Store,
  asOf: string,
  everyDays: number,
  onProgress: OnProgress,
): Promise<TrackRecord> {
  const revision = await store.revision();
  const kept = await keptRecord(store, asOf, everyDays);
  if (kept !== null && isCurrent(kept, asOf, revision)) return kept;
  const { settings } = await settingsInForce(store, asOf);
  const today = dayOfIso(asOf);
  const days = Array.from(
    { length: Math.floor(LONGEST_PAST_DAYS / everyDays) },
    (_, i) => today - (i + 1) * everyDays,
  ).reverse();
  const backTest = await forecastRecord(store, asOf, settings, days, onProgress);
  await keep(store, {
    asOf,
    revision,
    basis: basisOf(settings, everyDays),
    record: JSON.stringify(backTest),
  });
  return { asOf, revision, everyDays, backTest };
}

function basisOf({ temperature, tolerance }: Settings, everyDays: number): string {
  return JSON.stringify({ form: [RECORD_FORM, FIGURES_FORM], temperature, tolerance, everyDays });
}

/** Where another process is writing, the next run keeps it. */
async function keep(store: Store, record: KeptRecord): Promise<void> {
  try {
    await store.keepRecord(record);
  } catch (error) {
    if (!(error instanceof StoreError && error.code === "store-locked")) throw error;
  }
}
