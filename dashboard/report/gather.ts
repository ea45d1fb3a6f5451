import { readFile } from "node:fs/promises";
import type { BackTest, FleetWatch } from "../../analysis/index.ts";
import type { FileRecord, HeldRow, SettingsChange, Store } from "../../ingest/index.ts";
import { dayOfIso, endOfDayMs } from "../assessment/days.ts";
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
  /** Rows that had come by the as-of day and stood held back at its end. */
  readonly held: readonly HeldRow[];
  /** Rows that came later and are held back now. */
  readonly heldLater: number;
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
  const rows = await store.held.list({});
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
    held: rows.filter((row) => wasHeldAt(row, endOfDayMs(asOf))),
    heldLater: rows.filter((row) => row.takenInAtMs > endOfDayMs(asOf) && row.state === "held").length,
    files: await store.files(),
    settingsChange: change,
  };
}

/** By what people had decided about the row until then. */
function wasHeldAt({ takenInAtMs, decisions }: HeldRow, atMs: number): boolean {
  const last = decisions.findLast(({ madeAtMs }) => madeAtMs <= atMs);
  return takenInAtMs <= atMs && (last === undefined || last.outcome === "held");
}
