import { parentPort, Worker } from "node:worker_threads";
import { endedWithOthers } from "./in-worker.ts";

interface Sent<Order> {
  readonly id: number;
  readonly order: Order;
}
type Answered = { readonly id: number } & ({ readonly answer: unknown } | { readonly error: unknown });

/** A thread that answers one order after another. While it has none, the process may end without it. */
export class StayingThread<Order> {
  readonly #worker: Worker;
  readonly #waiting = new Map<number, PromiseWithResolvers<unknown>>();
  #sent = 0;
  #failed: { readonly error: unknown } | null = null;

  /** @param file A module that calls {@link answerOrders}. */
  constructor(file: URL) {
    this.#worker = new Worker(file);
    endedWithOthers(this.#worker);
    this.#worker.unref();
    this.#worker.on("message", (answered: Answered) => {
      const waiting = this.#waiting.get(answered.id);
      this.#waiting.delete(answered.id);
      if (this.#waiting.size === 0) this.#worker.unref();
      if ("answer" in answered) waiting?.resolve(answered.answer);
      else waiting?.reject(answered.error);
    });
    this.#worker.once("error", (error) => this.#fail(error));
    this.#worker.once("exit", () => this.#fail(new Error(`the thread of ${file.pathname} ended early`)));
  }

  get isGone(): boolean {
    return this.#failed !== null;
  }

  ask<Answer>(order: Order): Promise<Answer> {
    const waiting = Promise.withResolvers<unknown>();
    // Where it fails while whoever asked is at work itself, that is told when the answer is waited for.
    waiting.promise.catch(() => {});
    if (this.#failed !== null) waiting.reject(this.#failed.error);
    else {
      const id = ++this.#sent;
      this.#waiting.set(id, waiting);
      this.#worker.ref();
      this.#worker.postMessage({ id, order } satisfies Sent<Order>);
    }
    return waiting.promise as Promise<Answer>;
  }

  async end(): Promise<void> {
    await this.#worker.terminate();
  }

  #fail(error: unknown): void {
    this.#failed ??= { error };
    for (const { reject } of this.#waiting.values()) reject(error);
    this.#waiting.clear();
  }
}

/** Within the thread: answers every order that it is sent. */
export function answerOrders<Order>(answer: (order: Order) => unknown): void {
  parentPort?.on("message", async ({ id, order }: Sent<Order>) => {
    let answered: Answered;
    try {
      answered = { id, answer: await answer(order) };
    } catch (error) {
      answered = { id, error };
    }
    parentPort?.postMessage(answered);
  });
}
