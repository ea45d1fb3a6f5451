import { availableParallelism } from "node:os";
import type { FleetOrder } from "./fleet-worker.ts";
import { StayingThread } from "./staying-thread.ts";

const WORKER = new URL("./fleet-worker.ts", import.meta.url);

/** A thread takes some tenths of a second to start: fewer units than these are not worth another one. */
const UNITS_A_THREAD = 100;

/**
 * Threads that share the work on a fleet's units with this one: started when they are first worth it, and kept from
 * one work to the next, which then finds them warm.
 */
export class FleetThreads {
  readonly #most: number;
  readonly #unitsAThread: number;
  readonly #started: StayingThread<FleetOrder>[] = [];

  /** @param most As many as there are processors where left out; this one is among them. */
  constructor(most: number = availableParallelism(), unitsAThread = UNITS_A_THREAD) {
    this.#most = most;
    this.#unitsAThread = unitsAThread;
  }

  /** The threads beside this one that so many units are worth. */
  others(units: number): readonly StayingThread<FleetOrder>[] {
    const count = Math.max(1, Math.min(this.#most, Math.ceil(units / this.#unitsAThread))) - 1;
    while (this.#started.length < count) this.#started.push(new StayingThread(WORKER));
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
