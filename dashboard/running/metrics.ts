import { collectDefaultMetrics, Gauge, Histogram, Registry } from "prom-client";
import type { Store } from "../../ingest/index.ts";
import type { Assessment } from "../assessment/views.ts";

/** Upper ends of the buckets of durations. Unit: s. */
const BUCKETS = [0.005, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 30];

/**
 * Counts what the server does, in the text format that Prometheus and others read. No label names a person, a unit or a
 * site.
 *
 * @remarks A server has its own registry, so that several in one process count apart.
 */
export class Metrics {
  readonly #registry = new Registry();
  readonly #answers: Histogram<"method" | "door" | "status">;

  constructor(assessment: Assessment, store: Store | undefined) {
    const registers = [this.#registry];
    collectDefaultMetrics({ register: this.#registry });
    this.#answers = new Histogram({
      name: "springtide_answer_seconds",
      help: "Time until the last byte of an answer, by door and status",
      labelNames: ["method", "door", "status"],
      buckets: BUCKETS,
      registers,
    });
    new Gauge({
      name: "springtide_look_age_seconds",
      help: "Age of the look at the fleet that the pages show; -1 before the first",
      registers,
      async collect() {
        const { shown } = await assessment.standing();
        this.set(shown === null ? -1 : (Date.now() - shown.finishedAtMs) / 1000);
      },
    });
    new Gauge({
      name: "springtide_look_failed",
      help: "1 where the newest checks could not be looked at",
      registers,
      async collect() {
        this.set((await assessment.standing()).failed ? 1 : 0);
      },
    });
    if (store !== undefined) addStoreMetrics(store, registers);
  }

  /** @param door The address as the list of doors has it: its varying parts are not told. */
  count(method: string, door: string, status: number, seconds: number): void {
    this.#answers.observe({ method, door, status: String(status) }, seconds);
  }

  get type(): string {
    return this.#registry.contentType;
  }

  text(): Promise<string> {
    return this.#registry.metrics();
  }
}

function addStoreMetrics(store: Store, registers: Registry[]): void {
  new Gauge({
    name: "springtide_held_rows",
    help: "Rows that are held back and wait for somebody",
    registers,
    async collect() {
      this.set((await store.held.count({ state: "held" })).rows);
    },
  });
  new Gauge({
    name: "springtide_store_revision",
    help: "Grows with every change of the store",
    registers,
    async collect() {
      this.set(await store.revision());
    },
  });
}
