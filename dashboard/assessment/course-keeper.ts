import { Worker } from "node:worker_threads";
import { type AfterLook, allUnits } from "./after-look.ts";
import type { ChangedRun } from "./assess-store.ts";
import type { CourseOrder } from "./course-worker.ts";
import { type CourseMonth, monthEndsBefore } from "./fleet-course.ts";
import type { News } from "./in-worker.ts";
import type { CourseView } from "./views.ts";

interface Progress {
  readonly done: number;
  readonly of: number;
}

/** Has the fleet's course worked out in a thread of its own; nobody waits for it. */
export class CourseKeeper {
  readonly #storeUrl: string;
  readonly #after: Pick<AfterLook, "past">;
  #known: { readonly key: string; readonly months: readonly CourseMonth[] } | null = null;
  #running: Progress | null = null;
  /** What failed is not tried again for the same state of the store. */
  #failedKey: string | null = null;

  constructor(storeUrl: string, after: Pick<AfterLook, "past">) {
    this.#storeUrl = storeUrl;
    this.#after = after;
  }

  /** What is known now; has it worked out where the store or the day has changed. */
  look(run: ChangedRun, asOf: string): CourseView {
    const key = `${run.revision} ${asOf}`;
    if (this.#known?.key !== key && this.#running === null && this.#failedKey !== key) {
      this.#running = { done: 0, of: 12 };
      this.#months(run, asOf)
        .then((months) => {
          this.#known = { key, months };
        })
        .catch(() => {
          this.#failedKey = key;
        })
        .finally(() => {
          this.#running = null;
        });
    }
    return { months: this.#known?.months ?? null, progress: this.#running };
  }

  async #months(run: ChangedRun, asOf: string): Promise<readonly CourseMonth[]> {
    const ends = monthEndsBefore(asOf);
    const units = [...(await this.#after.past.of(run, asOf, { ends }, allUnits(run))).values()];
    const readings = ends.map((_, e) => units.reduce((sum, counts) => sum + counts[e]!, 0));
    const order: CourseOrder = { storeUrl: this.#storeUrl, ends, readings };
    const worker = new Worker(new URL("./course-worker.ts", import.meta.url), { workerData: order });
    // A server that is told to stop does not wait for it: months that are done are kept.
    worker.unref();
    return new Promise((resolve, reject) => {
      worker.on("message", (message: readonly CourseMonth[] | News<Progress>) => {
        if ("news" in message) this.#running = message.news;
        else resolve(message);
      });
      worker.once("error", reject);
      worker.once("exit", () => reject(new Error("the fleet's course ended early")));
    });
  }
}
