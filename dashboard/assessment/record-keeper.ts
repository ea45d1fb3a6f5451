import { Worker } from "node:worker_threads";
import type { Store } from "../../ingest/index.ts";
import type { RecordMessage, RecordOrder } from "./record-worker.ts";
import { isCurrent, keptRecord } from "./track-record.ts";
import type { RecordView } from "./views.ts";

/** Has the record of past forecasts worked out in a thread of its own, once for each state of the store. */
export class RecordKeeper {
  readonly #store: Store;
  #running: { readonly key: string; done: number; of: number } | null = null;
  #failed: { readonly key: string; readonly error: Error } | null = null;

  constructor(store: Store) {
    this.#store = store;
  }

  /**
   * What is known of the record now; never waits for it to be worked out.
   *
   * @param start Whether to have it worked out where the kept one is of an earlier state.
   * @throws {Error} with which the work on this state ended early; the next call tries again.
   */
  async look(asOf: string, start: boolean): Promise<RecordView> {
    const revision = await this.#store.revision();
    const record = await keptRecord(this.#store, asOf);
    const key = `${revision} ${asOf}`;
    if (this.#failed?.key === key) {
      const { error } = this.#failed;
      this.#failed = null;
      throw error;
    }
    const current = isCurrent(record, asOf, revision);
    if (start && !current && this.#running === null) this.#run(key, asOf);
    const progress = this.#running && { done: this.#running.done, of: this.#running.of };
    return { asOf, revision, record, isCurrent: current, progress };
  }

  #run(key: string, asOf: string): void {
    const running = { key, done: 0, of: 0 };
    this.#running = running;
    const order: RecordOrder = { storeUrl: this.#store.location, asOf };
    const worker = new Worker(new URL("./record-worker.ts", import.meta.url), { workerData: order });
    // A server that is told to stop does not wait for it: what is not kept is worked out another time.
    worker.unref();
    worker.on("message", (message: RecordMessage) => {
      if ("done" in message) Object.assign(running, message);
    });
    worker.once("error", (error) => {
      this.#failed = { key, error };
    });
    worker.once("exit", () => {
      this.#running = null;
    });
  }
}
