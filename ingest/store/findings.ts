/** Units found out of tolerance, as people recorded them. Nothing of it is ever changed or removed; only a person closes one. */

/** What was decided about results and products measured with the unit. All but "look-into" close the finding. */
export const FINDING_DECISIONS = ["look-into", "no-effect", "retest", "recall-review"] as const;
export type FindingDecisionKind = (typeof FINDING_DECISIONS)[number];

export interface OutFinding {
  readonly id: number;
  readonly instrument: string;
  /** Day of the check or service that found it. */
  readonly foundOn: string;
  readonly openedAtMs: number;
  readonly by: string;
  readonly why: string;
  /** The window as it was told when the finding was recorded, as JSON. */
  readonly window: string;
  /** Oldest first; the last one holds. */
  readonly decisions: readonly FindingDecision[];
}

export interface FindingDecision {
  readonly decidedAtMs: number;
  readonly by: string;
  readonly decision: FindingDecisionKind;
  readonly why: string;
}

/** Closed: the last decision settles it. */
export function isClosed({ decisions }: OutFinding): boolean {
  const last = decisions.at(-1);
  return last !== undefined && last.decision !== "look-into";
}
