import { availableParallelism } from "node:os";
import { Worker } from "node:worker_threads";
import type { FleetOrder } from "./fleet-worker.ts";
import { endedWithOthers } from "./in-worker.ts";

/** A thread takes some tenths of a second to start: fewer units than these are not worth another one. */
const UNITS_A_THREAD = 100;

/**
 * Threads that share the work on a fleet's units with this one: started when they are first worth it, and kept from
 * one work to the next, which then finds them warm.
 */
export class FleetThreads {
  readonly #most: number;
  readonly #unitsAThread: number;
  readonly #started: FleetThread[] = [];

  /** @param most As many as there are processors where left out; this one is among them. */
  constructor(most: number = availableParallelism(), unitsAThread = UNITS_A_THREAD) {
    this.#most = most;
    this.#unitsAThread = unitsAThread;
  }

  /** The threads beside this one that so many units are worth. */
  others(units: number): readonly FleetThread[] {
    const count = Math.max(1, Math.min(this.#most, Math.ceil(units / this.#unitsAThread))) - 1;
    while (this.#started.length < count) this.#started.push(new FleetThread());
    return this.#started.slice(0, count);
  }

  async end(): Promise<void> {
    await Promise.all(this.#started.splice(0).map((thread) => thread.end()));
  }
}

/** Does some work with threads that end with it, unless they are another work's. */
export async function withThreads<T>(
  given: FleetThreads | undefined,
  work: (threads: FleetThreads) => Promise<T>,
): Promise<T> {
  if (given !== undefined) return work(given);
  const threads = new FleetThreads();
  try {
    return await work(threads);
  } finally {
    await threads.end();
  }
}

/** A thread that answers one order after the other. */
class FleetThread {
  readonly #worker = new Worker(new URL("./fleet-worker.ts", import.meta.url));
  readonly #waiting: PromiseWithResolvers<unknown>[] = [];
  #end: unknown = null;

  constructor() {
    endedWithOthers(this.#worker);
    this.#worker.on("message", (answer) => this.#waiting.shift()?.resolve(answer));
    this.#worker.once("error", (error) => this.#fail(error));
    this.#worker.once("exit", () => this.#fail(new Error("a thread at work on the fleet ended early")));
  }

  ask<Answer>(order: FleetOrder): Promise<Answer> {
    const waiting = Promise.withResolvers<unknown>();
    // Where it fails while this thread is at work itself, that is told when the answer is waited for.
    waiting.promise.catch(() => {});
    if (this.#end !== null) waiting.reject(this.#end);
    else {
      this.#waiting.push(waiting);
      this.#worker.postMessage(order);
    }
    return waiting.promise as Promise<Answer>;
  }

  async end(): Promise<void> {
    await this.#worker.terminate();
  }

  #fail(error: unknown): void {
    this.#end ??= error;
    for (const { reject } of this.#waiting.splice(0)) reject(this.#end);
  }
}
