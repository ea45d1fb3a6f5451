import { parentPort, workerData } from "node:worker_threads";
import { openStore } from "../../ingest/index.ts";
import { type Ask, answerUnits, type UnitOrder } from "./unit-questions.ts";

/** It opens the store itself, so that no reading crosses between threads. */
export interface StoredOrder<A extends Ask = Ask> {
  readonly storeUrl: string;
  readonly order: UnitOrder<A>;
}

/** What a thread that stays is sent, and answers with. */
export interface Sent {
  readonly id: number;
  readonly stored: StoredOrder;
}
export type Answered = { readonly id: number } & (
  | { readonly answers: Awaited<ReturnType<typeof answerUnits>> }
  | { readonly error: unknown }
);

async function answer<A extends Ask>({ storeUrl, order }: StoredOrder<A>) {
  const store = await openStore(storeUrl);
  try {
    return await answerUnits(store, order);
  } finally {
    await store.close();
  }
}

// Started with an order it answers that one; else it stays, and answers one after the other.
if (workerData !== null) parentPort?.postMessage(await answer(workerData as StoredOrder));
else {
  parentPort?.on("message", async ({ id, stored }: Sent) => {
    const answered: Answered = await answer(stored).then(
      (answers) => ({ id, answers }),
      (error: unknown) => ({ id, error }),
    );
    parentPort?.postMessage(answered);
  });
}
