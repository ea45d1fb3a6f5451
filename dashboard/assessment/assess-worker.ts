import { parentPort, workerData } from "node:worker_threads";
import { openStore } from "../../ingest/index.ts";
import { assessChanges, type EarlierLook } from "./assess-store.ts";
import type { News } from "./in-worker.ts";
import type { LookStage } from "./views.ts";

/** What the worker is started with: it opens the store itself, so that no reading crosses between threads. */
export interface AssessOrder {
  readonly storeUrl: string;
  readonly asOf: string;
  /** What the run before rested on; null: there was none. */
  readonly before: EarlierLook | null;
}

const { storeUrl, asOf, before } = workerData as AssessOrder;
const tell = (stage: LookStage): void => parentPort?.postMessage({ news: stage } satisfies News<LookStage>);
const store = await openStore(storeUrl);
try {
  parentPort?.postMessage(await assessChanges(store, asOf, before, tell));
} finally {
  await store.close();
}
