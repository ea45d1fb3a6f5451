import { Worker } from "node:worker_threads";

/** Starts a thread with an order, and gives the one message that it answers with. */
export function inWorker<Order, Answer>(file: URL, order: Order): Promise<Answer> {
  return new Promise((resolve, reject) => {
    const worker = new Worker(file, { workerData: order });
    worker.once("message", resolve);
    worker.once("error", reject);
    worker.once("exit", (code) =>
      reject(new Error(`the work in ${file.pathname} ended early (exit ${code})`)),
    );
  });
}
