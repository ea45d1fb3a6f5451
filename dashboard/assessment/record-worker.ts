import { parentPort, workerData } from "node:worker_threads";
import { openStore } from "../../ingest/index.ts";
import { EVERY_DAYS, type TrackRecord, trackRecord } from "./track-record.ts";

export interface RecordOrder {
  readonly storeUrl: string;
  readonly asOf: string;
}

/** What the worker tells: how far it is, several times, then the record. */
export type RecordMessage = { readonly done: number; readonly of: number } | { readonly record: TrackRecord };

const { storeUrl, asOf } = workerData as RecordOrder;
const tell = (message: RecordMessage): void => parentPort?.postMessage(message);
const store = await openStore(storeUrl);
try {
  tell({ record: await trackRecord(store, asOf, EVERY_DAYS, (done, of) => tell({ done, of })) });
} finally {
  await store.close();
}
