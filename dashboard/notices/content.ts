import type { BandName, LotVerdict, UnitState } from "../../analysis/index.ts";
import type { NextStep } from "../page-models/next-step.ts";

/** What a notice says, as plain data: kept until it is sent, and the body of a webhook. Days are ISO, chances 0 to 1. */
export type NoticeContent = TurnedContent | DigestContent | TrialContent;

/** What turned in one look at the fleet. */
export interface TurnedContent {
  readonly kind: "turned";
  readonly as_of: string;
  readonly turned: readonly (UnitTurned | LotTurned)[];
}

export interface UnitTurned {
  readonly subject: "unit";
  readonly name: string;
  readonly site: string | null;
  readonly before: UnitState | null;
  readonly state: UnitState;
  readonly p_out_now: number | null;
  readonly p_out_before_service: number | null;
  readonly band: BandName | null;
  readonly next_service_due: string | null;
  readonly last_check: string | null;
  readonly next_step: NextStep;
}

export interface LotTurned {
  readonly subject: "lot";
  readonly name: string;
  /** Those of its sites that the reader sees. */
  readonly sites: readonly string[];
  readonly before: LotVerdict | null;
  readonly state: LotVerdict;
  readonly error_percent: number;
  readonly error_sd: number;
  readonly in_use: boolean;
}

/** One week, site by site. */
export interface DigestContent {
  readonly kind: "digest";
  readonly as_of: string;
  /** The day from which on turns are told. */
  readonly since: string;
  readonly sites: readonly SiteDigest[];
  readonly lots: readonly LotDigest[];
}

export interface SiteDigest {
  /** null: units that are registered at no site. */
  readonly site: string | null;
  readonly units: number;
  readonly turned: readonly TurnDigest[];
  /** Out, then likeliest to leave tolerance; the first ones of `at_risk_count`. */
  readonly at_risk: readonly UnitAtRisk[];
  readonly at_risk_count: number;
  /** Past their date, due within two weeks, or with a week kept by then; the first ones of `due_back_count`. */
  readonly due_back: readonly UnitDueBack[];
  readonly due_back_count: number;
  readonly rows_held_back: number;
}

/** The last turn of one unit in the time. */
export interface TurnDigest {
  readonly name: string;
  readonly before: UnitState | null;
  readonly state: UnitState;
  readonly on: string;
}

export interface UnitAtRisk {
  readonly name: string;
  readonly state: UnitState;
  readonly p_out_before_service: number | null;
  readonly next_service_due: string | null;
  readonly next_step: NextStep;
}

export interface UnitDueBack {
  readonly name: string;
  readonly next_service_due: string | null;
  /** Kept for it; null: none. */
  readonly kept_week: string | null;
}

/** A lot in use that is not what its certificate says, or that was and is no more. */
export interface LotDigest {
  readonly name: string;
  readonly state: LotVerdict;
  readonly error_percent: number;
  readonly error_sd: number;
  /** Whether it turned in the time. */
  readonly has_turned: boolean;
}

/** Sent to see whether notices arrive. */
export interface TrialContent {
  readonly kind: "trial";
}
