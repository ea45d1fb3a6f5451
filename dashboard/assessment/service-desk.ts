import type { FoundOut, GroupInterval, UnitInterval } from "../../analysis/index.ts";
import type { Store } from "../../ingest/index.ts";
import type { Settings } from "../settings.ts";
import {
  type DoubtedCheck,
  type DoubtedResult,
  type ToldFinding,
  type ToldSince,
  withRecords,
} from "./out-findings.ts";

/** What services and checks found, and what intervals follow, at the end of `asOf`. Days since 1970-01-01 UTC. */
export interface ServiceFacts {
  readonly asOf: string;
  /** Findings of services are listed from this day on. */
  readonly fromDay: number;
  /** The latest first. */
  readonly findings: readonly FoundUnit[];
  readonly intervals: { readonly units: readonly UnitInterval[]; readonly groups: readonly GroupInterval[] };
  readonly settings: Settings;
}

/** One unit found out of tolerance. */
export interface FoundUnit {
  readonly found: FoundOut;
  /** null: its checks cannot tell. */
  readonly since: ToldSince | null;
  /** Results measured with the unit in the window, oldest first. */
  readonly doubted: readonly DoubtedResult[];
  /** Checks of the window, oldest first. */
  readonly checks: readonly DoubtedCheck[];
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
  readonly #facts: () => Promise<ServiceFacts>;

  /** @param facts Worked out once per look at the fleet. */
  constructor(store: Store, facts: () => Promise<ServiceFacts>, now: () => number) {
    this.store = store;
    this.now = now;
    this.#facts = facts;
  }

  facts(): Promise<ServiceFacts> {
    return this.#facts();
  }

  /** With what people have decided up to this moment. */
  async findings(): Promise<{ readonly facts: ServiceFacts; readonly findings: readonly FindingView[] }> {
    const facts = await this.facts();
    // Decisions carry their own date: also a look at an earlier day shows the ones made since.
    return { facts, findings: withRecords(facts.findings, await this.store.findings(), this.now()) };
  }
}
