import type { FleetRun } from "./assess-store.ts";
import type { ReturnsQuestion } from "./booking-problem.ts";
import { inWorker } from "./in-worker.ts";
import type { ReturnsPlan } from "./plan-returns.ts";
import type { ReturnsInput } from "./returns-input.ts";
import type { ReturnsOrder } from "./returns-worker.ts";
import type { ReturnsView } from "./views.ts";

/** A page should not keep its reader longer; the plan then says how far off it may be. Unit: seconds. */
const TIME_LIMIT = 8;
const MOST_KEPT = 40;

/** Makes return plans in threads of their own, and keeps them until the run over the fleet is another. */
export class ReturnsPlanner {
  readonly #storeUrl: string;
  #run: FleetRun | null = null;
  #input: Promise<ReturnsInput> | null = null;
  readonly #plans = new Map<string, Promise<ReturnsPlan>>();

  constructor(storeUrl: string) {
    this.#storeUrl = storeUrl;
  }

  async answer(run: FleetRun, asOf: string, questions: readonly ReturnsQuestion[]): Promise<ReturnsView> {
    if (this.#run !== run) {
      this.#run = run;
      this.#plans.clear();
      this.#input = this.#load(run, asOf);
      // A failed load is not kept: the next request tries again.
      this.#input.catch(() => {
        if (this.#run === run) this.#run = null;
      });
    }
    const input = await this.#input!;
    const plans = await Promise.all(questions.map((question) => this.#plan(run, input, question)));
    return { input, plans, settings: run.settings };
  }

  #load({ settings, figures }: FleetRun, asOf: string): Promise<ReturnsInput> {
    return this.#inWorker({ load: { storeUrl: this.#storeUrl, asOf, settings, figures } });
  }

  #plan({ settings }: FleetRun, input: ReturnsInput, question: ReturnsQuestion): Promise<ReturnsPlan> {
    const key = JSON.stringify({ ...question, fixed: [...question.fixed].sort() });
    const kept = this.#plans.get(key);
    if (kept !== undefined) return kept;
    const made = this.#inWorker<ReturnsPlan>({
      plan: { input, question, settings, timeLimit: TIME_LIMIT },
    });
    this.#plans.set(key, made);
    made.catch(() => this.#plans.delete(key));
    if (this.#plans.size > MOST_KEPT) this.#plans.delete(this.#plans.keys().next().value!);
    return made;
  }

  #inWorker<Answer extends object>(order: ReturnsOrder): Promise<Answer> {
    return inWorker<ReturnsOrder, Answer>(new URL("./returns-worker.ts", import.meta.url), order);
  }
}
