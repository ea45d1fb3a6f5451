import { parentPort, workerData } from "node:worker_threads";
import type { FleetFigures } from "../../analysis/index.ts";
import { openStore } from "../../ingest/index.ts";
import type { Settings } from "../settings.ts";
import type { ReturnsQuestion } from "./booking-problem.ts";
import { planReturns, type ReturnsPlan } from "./plan-returns.ts";
import { loadReturns, type ReturnsInput } from "./returns-input.ts";

/** What the worker is started with: either where the input is to be loaded from, or the input with a question. */
export type ReturnsOrder =
  | {
      readonly load: {
        readonly storeUrl: string;
        readonly asOf: string;
        readonly settings: Settings;
        readonly figures: FleetFigures;
      };
    }
  | {
      readonly plan: {
        readonly input: ReturnsInput;
        readonly question: ReturnsQuestion;
        readonly settings: Settings;
        readonly timeLimit: number;
      };
    };

const order = workerData as ReturnsOrder;
parentPort?.postMessage(await ("load" in order ? load(order.load) : plan(order.plan)));

type Load = Extract<ReturnsOrder, { load: unknown }>["load"];
type Plan = Extract<ReturnsOrder, { plan: unknown }>["plan"];

async function load({ storeUrl, asOf, settings, figures }: Load): Promise<ReturnsInput> {
  const store = await openStore(storeUrl);
  try {
    return await loadReturns(store, asOf, settings, figures);
  } finally {
    await store.close();
  }
}

function plan({ input, question, settings, timeLimit }: Plan): Promise<ReturnsPlan> {
  return planReturns(input, question, settings, timeLimit);
}
