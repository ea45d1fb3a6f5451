import type { Store } from "../../ingest/index.ts";
import type { Settings } from "../settings.ts";
import { assessStore, type FleetRun } from "./assess-store.ts";
import { dayOfIso, endOfDayMs } from "./days.ts";
import { type LoadedFleet, loadFleet } from "./load-fleet.ts";
import { foundWindows, type OutFindingView, withRecords } from "./out-findings.ts";

/** How far back findings of services are listed where nobody says. Unit: days. */
export const LOOK_BACK_DAYS = 366;

export interface FindingsRun {
  readonly run: FleetRun;
  readonly loaded: LoadedFleet;
  readonly settings: Settings;
  readonly findings: readonly OutFindingView[];
  readonly fromDay: number;
}

/**
 * Assesses the fleet and lists every unit found out of tolerance.
 *
 * @param since ISO day from which findings of services count; a year back where left out.
 */
export async function loadFindings(store: Store, asOf: string, since?: string): Promise<FindingsRun> {
  const run = await assessStore(store, asOf);
  const loaded = await loadFleet(store, asOf, run.settings);
  const fromDay = since === undefined ? dayOfIso(asOf) - LOOK_BACK_DAYS : dayOfIso(since);
  const outNow = new Set(
    run.assessment.units.filter(({ state }) => state === "out").map(({ instrument }) => instrument),
  );
  const windows = foundWindows(loaded, run.figures, outNow, fromDay);
  const findings = withRecords(windows, await store.findings(), endOfDayMs(asOf));
  return { run, loaded, settings: run.settings, findings, fromDay };
}
