import { Worker } from "node:worker_threads";
import type { CourseOrder } from "./course-worker.ts";
import type { CourseMonth } from "./fleet-course.ts";
import type { News } from "./in-worker.ts";
import type { CourseView } from "./views.ts";

interface Progress {
  readonly done: number;
  readonly of: number;
}

/** Has the fleet's course worked out in a thread of its own; nobody waits for it. */
export class CourseKeeper {
  readonly #storeUrl: string;
  #known: { readonly key: string; readonly months: readonly CourseMonth[] } | null = null;
  #running: Progress | null = null;
  /** What failed is not tried again for the same state of the store. */
  #failedKey: string | null = null;

  constructor(storeUrl: string) {
    this.#storeUrl = storeUrl;
  }

  /** What is known now; has it worked out where the store or the day has changed. */
  look(revision: number, asOf: string): CourseView {
    const key = `${revision} ${asOf}`;
    if (this.#known?.key !== key && this.#running === null && this.#failedKey !== key) this.#run(key, asOf);
    return { months: this.#known?.months ?? null, progress: this.#running };
  }

  #run(key: string, asOf: string): void {
    this.#running = { done: 0, of: 12 };
    const order: CourseOrder = { storeUrl: this.#storeUrl, asOf };
    const worker = new Worker(new URL("./course-worker.ts", import.meta.url), { workerData: order });
    // A server that is told to stop does not wait for it: months that are done are kept.
    worker.unref();
    worker.on("message", (message: readonly CourseMonth[] | News<Progress>) => {
      if ("news" in message) this.#running = message.news;
      else this.#known = { key, months: message };
    });
    worker.once("error", () => {
      this.#failedKey = key;
    });
    worker.once("exit", () => {
      this.#running = null;
    });
  }
}
