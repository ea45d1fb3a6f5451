import { Worker } from "node:worker_threads";

/** What a thread tells while it works, before its answer. */
export interface News<Told> {
  readonly news: Told;
}

const atWork = new Set<Worker>();

/** Ends every thread that is still at work: nobody waits for its answer any more. */
export async function endWorkers(): Promise<void> {
  await Promise.all([...atWork].map((worker) => worker.terminate()));
}

/** Has a thread ended with all others by {@link endWorkers}. */
export function endedWithOthers(worker: Worker): void {
  atWork.add(worker);
  worker.once("exit", () => atWork.delete(worker));
}

/**
 * Starts a thread with an order, and gives the message that it answers with.
 *
 * @param heed Is given what it tells meanwhile.
 */
export function inWorker<Order, Answer extends object, Told = never>(
  file: URL,
  order: Order,
  heed: (told: Told) => void = () => {},
): Promise<Answer> {
  return new Promise((resolve, reject) => {
    const worker = new Worker(file, { workerData: order });
    endedWithOthers(worker);
    worker.on("message", (message: Answer | News<Told>) => {
      if ("news" in message) heed(message.news);
      else resolve(message);
    });
    worker.once("error", reject);
    worker.once("exit", (code) =>
      reject(new Error(`the work in ${file.pathname} ended early (exit ${code})`)),
    );
  });
}
