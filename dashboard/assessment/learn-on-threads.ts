import { availableParallelism } from "node:os";
import { Worker } from "node:worker_threads";
import {
  type FitOrder,
  type FitPart,
  FitShare,
  type FleetChecks,
  type FleetFigures,
  fitInSteps,
  fitParts,
  type PartAnswer,
} from "../../analysis/index.ts";
import { endedWithOthers } from "./in-worker.ts";

/** A thread takes some tenths of a second to start: fewer units than these are not worth another one. */
const UNITS_A_THREAD = 100;

/**
 * Learns a fleet on threads: to the last digit what `fitFleet` learns, however many they are.
 *
 * @param fleet Its readings lie in memory that threads share, see `SeriesBuilder`.
 * @param threads As many as there are processors, and as are worth it, where left out. This one is one of them.
 */
export async function learnOnThreads(fleet: FleetChecks, threads?: number): Promise<FleetFigures> {
  const parts = fitParts(fleet);
  const units = parts.reduce((sum, part) => sum + part.units.length, 0);
  const shares = threads ?? Math.min(availableParallelism(), Math.ceil(units / UNITS_A_THREAD));
  const shareOf = (share: number) => parts.filter(({ number }) => number % shares === share);
  const elsewhere = Array.from({ length: Math.max(0, shares - 1) }, (_, i) => new FitThread(shareOf(i + 1)));
  const here = new FitShare(shares > 1 ? shareOf(0) : parts);
  try {
    const fit = fitInSteps(fleet, parts);
    let next = fit.next();
    while (!next.done) {
      const order = next.value;
      const others = elsewhere.map((thread) => thread.ask(order));
      const answers = here.answer(order);
      next = fit.next(answers.concat(...(await Promise.all(others))));
    }
    return next.value;
  } finally {
    await Promise.all(elsewhere.map((thread) => thread.end()));
  }
}

/** A thread that keeps some parts, and answers one order after the other. */
class FitThread {
  readonly #worker: Worker;
  #waiting = Promise.withResolvers<PartAnswer[]>();

  constructor(parts: readonly FitPart[]) {
    this.#worker = new Worker(new URL("./learn-worker.ts", import.meta.url), { workerData: parts });
    endedWithOthers(this.#worker);
    this.#worker.on("message", (answers: PartAnswer[]) => this.#waiting.resolve(answers));
    this.#worker.once("error", (error) => this.#waiting.reject(error));
    this.#worker.once("exit", (code) =>
      this.#waiting.reject(new Error(`a thread that learnt of the fleet ended early (exit ${code})`)),
    );
  }

  ask(order: FitOrder): Promise<PartAnswer[]> {
    this.#waiting = Promise.withResolvers();
    this.#worker.postMessage(order);
    return this.#waiting.promise;
  }

  async end(): Promise<void> {
    this.#waiting.promise.catch(() => {});
    await this.#worker.terminate();
  }
}
