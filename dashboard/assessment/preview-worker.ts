import { parentPort, workerData } from "node:worker_threads";
import { openStore } from "../../ingest/index.ts";
import type { Settings } from "../settings.ts";
import type { FleetRun } from "./assess-store.ts";
import { previewSettings } from "./settings-preview.ts";

export interface PreviewOrder {
  readonly storeUrl: string;
  readonly asOf: string;
  readonly run: FleetRun;
  readonly proposed: Settings;
}

const { storeUrl, asOf, run, proposed } = workerData as PreviewOrder;
const store = await openStore(storeUrl);
try {
  parentPort?.postMessage(await previewSettings(store, asOf, run, proposed));
} finally {
  await store.close();
}
