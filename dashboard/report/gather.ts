import { readFile } from "node:fs/promises";
import type { BackTest, FleetWatch } from "../../analysis/index.ts";
import type { FileRecord, QuarantinedRow, SettingsChange, Store } from "../../ingest/index.ts";
import { dayOfIso } from "../assessment/days.ts";
import { forecastRecord } from "../assessment/forecast-record.ts";
import { judgementsOf, type StandingJudgement } from "../assessment/judgements.ts";
import { type FindingsRun, loadFindings } from "../assessment/load-findings.ts";
import { watchStore } from "../assessment/watch-store.ts";
import { settingsInForce } from "../settings-in-force.ts";

/** Everything that the evidence pack shows, as of one day. */
export interface EvidencePack extends FindingsRun {
  readonly asOf: string;
  readonly madeAtMs: number;
  readonly versions: { readonly springtide: string; readonly node: string };
  readonly watch: FleetWatch;
  readonly notes: readonly StandingJudgement[];
  readonly record: BackTest | null;
  readonly held: readonly (QuarantinedRow & { readonly file: string })[];
  readonly files: readonly FileRecord[];
  readonly settingsChange: SettingsChange | null;
}

/** Signals and services older than this before the as-of day are left out. Unit: days. */
export const PERIOD_DAYS = 366;

/** How long ago the forecasts were made that the pack's record is of: their services have come. Unit: days. */
const MADE_BEFORE = [540, 365];

export async function gatherEvidence(store: Store, asOf: string, madeAtMs: number): Promise<EvidencePack> {
  const run = await loadFindings(store, asOf);
  const { change } = await settingsInForce(store, asOf);
  const { version } = JSON.parse(await readFile(new URL("../../package.json", import.meta.url), "utf8")) as {
    version: string;
  };
  return {
    ...run,
    asOf,
    madeAtMs,
    versions: { springtide: version, node: process.versions.node },
    watch: await watchStore(store, asOf),
    notes: await judgementsOf(store, asOf),
    record: await forecastRecord(
      store,
      asOf,
      run.settings,
      MADE_BEFORE.map((days) => dayOfIso(asOf) - days),
    ),
    held: await store.quarantined(),
    files: await store.files(),
    settingsChange: change,
  };
}
