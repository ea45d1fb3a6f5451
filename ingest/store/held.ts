import type { FileKind, QuarantinedRow, Reason, RowIntake } from "./store.ts";

/** Rows that were held back, as a place of work: what became of each, by whom and why. Nothing of it is ever removed. */

/** held: to be seen to; accepted: its readings are in use; dismissed: a person decided that it is not to be used. */
export const HELD_STATES = ["held", "accepted", "dismissed"] as const;
export type HeldState = (typeof HELD_STATES)[number];

/**
 * mended: new values beside the old; released: read again as it stands; replaced: put in the place of a stored reading
 * that says something else; sent-again: a later file brought it in.
 */
export const HELD_ACTIONS = ["mended", "released", "replaced", "dismissed", "sent-again"] as const;
export type HeldAction = (typeof HELD_ACTIONS)[number];

/** All that it takes to read a held row again: how its file was read, and under which header. */
export interface KeptWay {
  readonly kind: FileKind;
  readonly form: { readonly name: string; readonly delimiter?: string };
  readonly decimal: "." | ",";
  /** Columns as the file has them; empty for JSON, whose rows name their own. */
  readonly header: readonly string[];
  /** What the profile said. */
  readonly profile: Readonly<Record<string, unknown>>;
}

/** New values for a held row: in its own columns by our names, or as a whole row; both written as its file would. */
export interface Mend {
  readonly row?: string;
  readonly values?: Readonly<Record<string, string>>;
}

/** What was done about a held row once. */
export interface HeldDecision {
  readonly action: HeldAction;
  readonly madeAtMs: number;
  /** null where a later file brought the row in. */
  readonly by: string | null;
  readonly why: string | null;
  readonly mend: Mend | null;
  readonly outcome: HeldState;
  /** What still stood against the row; null where nothing did. */
  readonly reason: Reason | null;
  readonly message: string | null;
  /** The stored values that the row took the place of, as JSON. */
  readonly replaced: string | null;
}

/** One held row in full. */
export interface HeldRow extends QuarantinedRow {
  readonly id: number;
  readonly file: string;
  readonly fileId: number;
  readonly takenInAtMs: number;
  readonly state: HeldState;
  /** null for a row of an older version's store: it can be read again once its file was sent again. */
  readonly way: KeptWay | null;
  /** Oldest first. */
  readonly decisions: readonly HeldDecision[];
}

/** Which held rows are looked at; all where nothing is said. */
export interface HeldFilter {
  readonly state?: HeldState | undefined;
  readonly site?: string | undefined;
  /** Rows of these sites only. */
  readonly sites?: readonly string[] | undefined;
  readonly file?: string | undefined;
  readonly reason?: Reason | undefined;
  readonly instrument?: string | undefined;
}

/** How many held rows there are under one name. */
export interface HeldCount {
  /** null: not known. */
  readonly name: string | null;
  readonly rows: number;
}

/** Counts of the rows that a filter leaves, the most first. */
export interface HeldCounts {
  readonly rows: number;
  readonly byReason: readonly HeldCount[];
  readonly bySite: readonly HeldCount[];
  readonly byFile: readonly HeldCount[];
}

/** A transaction in which one held row is read again. Ends with exactly one of `settle` and `rollback`. */
export interface Rereading extends RowIntake {
  /** Keeps what was read, and the decision with it. @returns The decision, with what was replaced. */
  settle(decision: HeldDecision): Promise<HeldDecision>;
}

/** The held rows of a store. */
export interface HeldRows {
  /** The latest first. */
  list(
    filter: HeldFilter,
    part?: { readonly offset: number; readonly limit: number },
  ): Promise<readonly HeldRow[]>;
  count(filter: HeldFilter): Promise<HeldCounts>;
  find(id: number): Promise<HeldRow | null>;
  /** Records a decision that changes no reading. */
  decide(id: number, decision: HeldDecision): Promise<void>;
  /** @param how `replace`: its readings take the place of stored ones that say something else. */
  beginRereading(id: number, how: { readonly replace: boolean }): Promise<Rereading>;
}
