import { parentPort, workerData } from "node:worker_threads";
import { openStore } from "../../ingest/index.ts";
import { settingsInForce } from "../settings-in-force.ts";
import { dayOfIso } from "./days.ts";
import { fleetFigures } from "./fleet-figures.ts";
import { intervalsOf } from "./intervals-report.ts";
import { LOOK_BACK_DAYS } from "./load-findings.ts";
import { loadFleet } from "./load-fleet.ts";
import { doubtedChecks, doubtedResults, foundWindows } from "./out-findings.ts";
import type { ServiceFacts } from "./service-desk.ts";

/** What the worker is started with: it opens the store itself, so that no reading crosses between threads. */
export interface ServiceOrder {
  readonly storeUrl: string;
  readonly asOf: string;
  /** Units that the forecast calls out now. */
  readonly outNow: readonly string[];
}

const { storeUrl, asOf, outNow } = workerData as ServiceOrder;
const store = await openStore(storeUrl);
try {
  const { settings } = await settingsInForce(store, asOf);
  const loaded = await loadFleet(store, asOf, settings);
  const figures = await fleetFigures(store, asOf, settings, loaded.fleet);
  const fromDay = dayOfIso(asOf) - LOOK_BACK_DAYS;
  const windows = foundWindows(loaded, figures, new Set(outNow), fromDay);
  const findings: ServiceFacts["findings"][number][] = [];
  for (const window of windows) {
    const doubted = await doubtedResults(store, window);
    // A function cannot cross between threads.
    const { offAt: _, ...since } = window.since ?? { offAt: null };
    findings.push({
      found: window.found,
      since: "left" in since ? since : null,
      doubted,
      checks: doubtedChecks(loaded, window),
    });
  }
  const facts: ServiceFacts = {
    asOf,
    fromDay,
    findings,
    intervals: intervalsOf(loaded, figures, settings),
    settings,
  };
  parentPort?.postMessage(facts);
} finally {
  await store.close();
}
