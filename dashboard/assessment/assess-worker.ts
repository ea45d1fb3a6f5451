import { parentPort, workerData } from "node:worker_threads";
import { openStore } from "../../ingest/index.ts";
import { assessStore } from "./assess-store.ts";

/** What the worker is started with: it opens the store itself, so that no reading crosses between threads. */
export interface AssessOrder {
  readonly storeUrl: string;
  readonly asOf: string;
}

const { storeUrl, asOf } = workerData as AssessOrder;
const store = await openStore(storeUrl);
try {
  parentPort?.postMessage(await assessStore(store, asOf));
} finally {
  await store.close();
}
