import { parentPort, workerData } from "node:worker_threads";
import { openStore } from "../../ingest/index.ts";
import { dayOfIso } from "./days.ts";
import type { ReviewView } from "./views.ts";
import { watchStore } from "./watch-store.ts";

/** What the worker is started with: it opens the store itself, so that no reading crosses between threads. */
export interface ReviewOrder {
  readonly storeUrl: string;
  readonly asOf: string;
}

/** Signals of so many days are news to somebody who looks in every week. */
const NEWS_DAYS = 7;

const { storeUrl, asOf } = workerData as ReviewOrder;
const store = await openStore(storeUrl);
try {
  const { budget, signals, review } = await watchStore(store, asOf);
  const fromDay = dayOfIso(asOf) + 1 - NEWS_DAYS;
  parentPort?.postMessage({
    budget,
    review,
    fromDay,
    signals: signals.filter(({ onDay }) => onDay >= fromDay),
  } satisfies ReviewView);
} finally {
  await store.close();
}
