import { availableParallelism } from "node:os";
import { Worker } from "node:worker_threads";
import { endedWithOthers, inWorker } from "./in-worker.ts";
import type { Ask, UnitOrder, UnitQuestions } from "./unit-questions.ts";
import type { Answered, Sent, StoredOrder } from "./unit-worker.ts";

type Answers<A extends Ask> = ReadonlyMap<string, UnitQuestions[A]["answer"]>;

const WORKER = new URL("./unit-worker.ts", import.meta.url);

/** More units than these are shared out among threads, which take half a second to start and give all memory back. */
const FEW_UNITS = 200;

/**
 * Answers about units from other threads: about few of them from one that stays, about many from as many as there are
 * processors.
 */
export class UnitThreads {
  readonly #storeUrl: string;
  readonly #threads: number;
  readonly #fewUnits: number;
  #staying: StayingThread | null = null;

  constructor(storeUrl: string, { threads = availableParallelism(), fewUnits = FEW_UNITS } = {}) {
    this.#storeUrl = storeUrl;
    this.#threads = threads;
    this.#fewUnits = fewUnits;
  }

  async ask<A extends Ask>(order: UnitOrder<A>): Promise<Answers<A>> {
    const { units } = order;
    if (units.length === 0) return new Map();
    if (units.length <= this.#fewUnits) {
      if (this.#staying?.isGone !== false) this.#staying = new StayingThread();
      return this.#staying.ask({ storeUrl: this.#storeUrl, order });
    }
    const shares = Math.min(this.#threads, Math.ceil(units.length / this.#fewUnits));
    const each = Math.ceil(units.length / shares);
    // Neighbours stay together: they are read in one go.
    const parts = Array.from({ length: shares }, (_, i) => units.slice(i * each, (i + 1) * each));
    const answers = await Promise.all(
      parts.map((part) =>
        inWorker<StoredOrder<A>, Answers<A>>(WORKER, {
          storeUrl: this.#storeUrl,
          order: { ...order, units: part },
        }),
      ),
    );
    return new Map(answers.flatMap((part) => [...part]));
  }
}

/** A thread that waits for the next order; nothing waits for its end. */
class StayingThread {
  isGone = false;
  readonly #worker = new Worker(WORKER, { workerData: null });
  readonly #waiting = new Map<number, PromiseWithResolvers<Answers<Ask>>>();
  #sent = 0;

  constructor() {
    endedWithOthers(this.#worker);
    this.#worker.unref();
    this.#worker.on("message", (answered: Answered) => {
      const waiting = this.#waiting.get(answered.id);
      this.#waiting.delete(answered.id);
      if (this.#waiting.size === 0) this.#worker.unref();
      if ("answers" in answered) waiting?.resolve(answered.answers);
      else waiting?.reject(answered.error);
    });
    this.#worker.once("error", (error) => this.#end(error));
    this.#worker.once("exit", () => this.#end(new Error("the thread that answers about units ended early")));
  }

  ask<A extends Ask>(stored: StoredOrder<A>): Promise<Answers<A>> {
    const id = ++this.#sent;
    const answers = Promise.withResolvers<Answers<Ask>>();
    this.#waiting.set(id, answers);
    this.#worker.ref();
    this.#worker.postMessage({ id, stored } as Sent);
    return answers.promise as Promise<Answers<A>>;
  }

  #end(error: unknown): void {
    this.isGone = true;
    for (const { reject } of this.#waiting.values()) reject(error);
    this.#waiting.clear();
  }
}
