import { parentPort, workerData } from "node:worker_threads";
import { type FitOrder, type FitPart, FitShare } from "../../analysis/index.ts";

// Started with the parts that it keeps between orders.
const share = new FitShare(workerData as FitPart[]);
parentPort?.on("message", (order: FitOrder) => parentPort?.postMessage(share.answer(order)));
