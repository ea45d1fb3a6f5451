import { availableParallelism } from "node:os";
import { inWorker } from "./in-worker.ts";
import { StayingThread } from "./staying-thread.ts";
import type { Ask, UnitOrder, UnitQuestions } from "./unit-questions.ts";
import type { StoredOrder } from "./unit-worker.ts";

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
  #staying: StayingThread<StoredOrder> | null = null;

  constructor(storeUrl: string, { threads = availableParallelism(), fewUnits = FEW_UNITS } = {}) {
    this.#storeUrl = storeUrl;
    this.#threads = threads;
    this.#fewUnits = fewUnits;
  }

  async ask<A extends Ask>(order: UnitOrder<A>): Promise<Answers<A>> {
    const { units } = order;
    if (units.length === 0) return new Map();
    if (units.length <= this.#fewUnits) {
      if (this.#staying?.isGone !== false) this.#staying = new StayingThread(WORKER);
      return this.#staying.ask({ storeUrl: this.#storeUrl, order } as StoredOrder);
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
