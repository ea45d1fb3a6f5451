import { parentPort, workerData } from "node:worker_threads";
import type { Settings } from "../settings.ts";
import type { ReturnsQuestion } from "./booking-problem.ts";
import { planReturns } from "./plan-returns.ts";
import type { ReturnsInput } from "./returns-input.ts";

/** What the worker is started with. */
export interface ReturnsOrder {
  readonly input: ReturnsInput;
  readonly question: ReturnsQuestion;
  readonly settings: Settings;
  readonly timeLimit: number;
}

const { input, question, settings, timeLimit } = workerData as ReturnsOrder;
parentPort?.postMessage(await planReturns(input, question, settings, timeLimit));
