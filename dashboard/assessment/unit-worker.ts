import { parentPort, workerData } from "node:worker_threads";
import { openStore } from "../../ingest/index.ts";
import { answerOrders } from "./staying-thread.ts";
import { type Ask, answerUnits, type UnitOrder } from "./unit-questions.ts";

/** It opens the store itself, so that no reading crosses between threads. */
export interface StoredOrder<A extends Ask = Ask> {
  readonly storeUrl: string;
  readonly order: UnitOrder<A>;
}

async function answer<A extends Ask>({ storeUrl, order }: StoredOrder<A>) {
  const store = await openStore(storeUrl);
  try {
    return await answerUnits(store, order);
  } finally {
    await store.close();
  }
}

// Started with an order it answers that one and ends; else it stays.
if (workerData == null) answerOrders((order: StoredOrder) => answer(order));
else parentPort?.postMessage(await answer(workerData as StoredOrder));
