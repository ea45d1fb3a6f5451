import { parentPort, workerData } from "node:worker_threads";
import { type FleetFigures, type LotInFull, lotsInFull } from "../../analysis/index.ts";
import { openStore } from "../../ingest/index.ts";
import type { Settings } from "../settings.ts";
import { loadFleet } from "./load-fleet.ts";

/** What the worker is started with: it opens the store itself, so that no reading crosses between threads. */
export interface FluidsOrder {
  readonly storeUrl: string;
  readonly asOf: string;
  readonly settings: Settings;
  readonly figures: FleetFigures;
}

const { storeUrl, asOf, settings, figures } = workerData as FluidsOrder;
const store = await openStore(storeUrl);
try {
  const { fleet } = await loadFleet(store, asOf, settings);
  parentPort?.postMessage(lotsInFull(fleet, figures) satisfies LotInFull[]);
} finally {
  await store.close();
}
