import { Worker } from "node:worker_threads";
import type { Store } from "../../ingest/index.ts";
import type { RecordMessage, RecordOrder } from "./record-worker.ts";
import { isCurrent, keptRecord, type TrackRecord } from "./track-record.ts";
import type { RecordView } from "./views.ts";

/** Has the record of past forecasts worked out in a thread of its own, once for each state of the store. */
export class RecordKeeper {
  readonly #store: Store;
  /** The last one worked out here, for where another process is writing and it could not be kept in the store. */
  #latest: TrackRecord | null = null;
  #running: { done: number; of: number } | null = null;
  #failed: { readonly key: string; readonly error: Error } | null = null;

  constructor(store: Store) {
    this.#store = store;
  }

  /**
   * What is known of the record now; never waits for it to be worked out.
   *
   * @param start Whether to have it worked out where the kept one is of an earlier state.
   * @throws {Error} with which the work on this state ended early, where `start` asks for it; the next call tries again.
   */
  async look(asOf: string, start: boolean): Promise<RecordView> {
    const revision = await this.#store.revision();
    if (isCurrent(this.#latest, asOf, revision)) {
      return { asOf, revision, record: this.#latest, isCurrent: true, progress: null };
    }
    const record = await keptRecord(this.#store, asOf);
    const current = isCurrent(record, asOf, revision);
    if (start && !current && this.#running === null) {
      const key = `${revision} ${asOf}`;
      if (this.#failed?.key === key) {
        const { error } = this.#failed;
        this.#failed = null;
        throw error;
      }
      this.#run(key, asOf);
    }
    return {
      asOf,
      revision,
      record,
      isCurrent: current,
      progress: current || this.#running === null ? null : { ...this.#running },
    };
  }

  #run(key: string, asOf: string): void {
    const running = { done: 0, of: 0 };
    this.#running = running;
    const order: RecordOrder = { storeUrl: this.#store.location, asOf };
    const worker = new Worker(new URL("./record-worker.ts", import.meta.url), { workerData: order });
    // A server that is told to stop does not wait for it: what is not kept is worked out another time.
    worker.unref();
    worker.on("message", (message: RecordMessage) => {
      if ("record" in message) this.#latest = message.record;
      else Object.assign(running, message);
    });
    worker.once("error", (error) => {
      this.#failed = { key, error };
    });
    worker.once("exit", () => {
      this.#running = null;
    });
  }
}
