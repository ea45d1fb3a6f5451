import type { FoundOut, GroupInterval, UnitInterval } from "../../analysis/index.ts";
import type { Store } from "../../ingest/index.ts";
import { Kept } from "../kept.ts";
import type { Settings } from "../settings.ts";
import { inWorker } from "./in-worker.ts";
import {
  type DoubtedCheck,
  type DoubtedResult,
  type ToldFinding,
  type ToldSince,
  withRecords,
} from "./out-findings.ts";
import type { ServiceOrder } from "./service-worker.ts";
import type { Assessment } from "./views.ts";

/** What services and checks found, and what intervals follow, at the end of `asOf`. Days since 1970-01-01 UTC. */
export interface ServiceFacts {
  readonly asOf: string;
  /** Findings of services are listed from this day on. */
  readonly fromDay: number;
  /** The latest first. */
  readonly findings: readonly {
    readonly found: FoundOut;
    /** null: its checks cannot tell. */
    readonly since: ToldSince | null;
    /** Results measured with the unit in the window, oldest first. */
    readonly doubted: readonly DoubtedResult[];
    /** Checks of the window, oldest first. */
    readonly checks: readonly DoubtedCheck[];
  }[];
  readonly intervals: { readonly units: readonly UnitInterval[]; readonly groups: readonly GroupInterval[] };
  readonly settings: Settings;
}

export type FindingView = ToldFinding & {
  readonly doubted: readonly DoubtedResult[];
  readonly checks: readonly DoubtedCheck[];
};

/** What the pages may ask of the desk. */
export type ServiceAnswers = Pick<ServiceDesk, "store" | "now" | "facts" | "findings">;

/** Where the pages ask about findings and intervals, and where people's decisions on findings come in. */
export class ServiceDesk {
  readonly store: Store;
  readonly now: () => number;
  readonly #assessment: Assessment;
  readonly #facts = new Kept<ServiceFacts>(1);

  constructor(store: Store, assessment: Assessment, now: () => number) {
    this.store = store;
    this.now = now;
    this.#assessment = assessment;
  }

  /** Worked out in a thread of its own, once per look at the fleet. */
  async facts(): Promise<ServiceFacts> {
    const { revision, asOf, assessment } = await this.#assessment.current();
    const outNow = assessment.units
      .filter(({ state }) => state === "out")
      .map(({ instrument }) => instrument);
    return this.#facts.get(`${revision} ${asOf}`, () =>
      inWorker<ServiceOrder, ServiceFacts>(new URL("./service-worker.ts", import.meta.url), {
        storeUrl: this.store.location,
        asOf,
        outNow,
      }),
    );
  }

  /** With what people have decided up to this moment. */
  async findings(): Promise<{ readonly facts: ServiceFacts; readonly findings: readonly FindingView[] }> {
    const facts = await this.facts();
    // Decisions carry their own date: also a look at an earlier day shows the ones made since.
    return { facts, findings: withRecords(facts.findings, await this.store.findings(), this.now()) };
  }
}
