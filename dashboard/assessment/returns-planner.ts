import type { Store } from "../../ingest/index.ts";
import type { AfterLook } from "./after-look.ts";
import type { ChangedRun } from "./assess-store.ts";
import type { ReturnsQuestion } from "./booking-problem.ts";
import { inWorker } from "./in-worker.ts";
import type { ReturnsPlan } from "./plan-returns.ts";
import { type ReturnsInput, returnsAfter } from "./returns-input.ts";
import type { ReturnsOrder } from "./returns-worker.ts";
import type { ReturnsView } from "./views.ts";

/** A page should not keep its reader longer; the plan then says how far off it may be. Unit: seconds. */
const TIME_LIMIT = 8;
const MOST_KEPT = 40;

/** Makes return plans in threads of their own, and keeps them until the run over the fleet is another. */
export class ReturnsPlanner {
  readonly #store: Store;
  readonly #after: AfterLook;
  #run: ChangedRun | null = null;
  #input: Promise<ReturnsInput> | null = null;
  readonly #plans = new Map<string, Promise<ReturnsPlan>>();

  constructor(store: Store, after: AfterLook) {
    this.#store = store;
    this.#after = after;
  }

  async answer(run: ChangedRun, asOf: string, questions: readonly ReturnsQuestion[]): Promise<ReturnsView> {
    if (this.#run !== run) {
      this.#run = run;
      this.#plans.clear();
      this.#input = returnsAfter(this.#store, this.#after, run, asOf);
      // A failed load is not kept: the next request tries again.
      this.#input.catch(() => {
        if (this.#run === run) this.#run = null;
      });
    }
    const input = await this.#input!;
    const plans = await Promise.all(questions.map((question) => this.#plan(run, input, question)));
    return { input, plans, settings: run.settings };
  }

  #plan({ settings }: ChangedRun, input: ReturnsInput, question: ReturnsQuestion): Promise<ReturnsPlan> {
    const key = JSON.stringify({ ...question, fixed: [...question.fixed].sort() });
    const kept = this.#plans.get(key);
    if (kept !== undefined) return kept;
    const made = inWorker<ReturnsOrder, ReturnsPlan>(new URL("./returns-worker.ts", import.meta.url), {
      input,
      question,
      settings,
      timeLimit: TIME_LIMIT,
    });
    this.#plans.set(key, made);
    made.catch(() => this.#plans.delete(key));
    if (this.#plans.size > MOST_KEPT) this.#plans.delete(this.#plans.keys().next().value!);
    return made;
  }
}
