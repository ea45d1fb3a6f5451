/** What people and earlier runs have left in the store beside the data itself. Nothing of it is ever changed or removed. */

/**
 * The limits of one charted quantity in one life of a unit, as frozen once: figures whose meaning is the analysis'.
 * Days are days since 1970-01-01 UTC, fractions allowed.
 */
export interface FrozenLimit {
  readonly instrument: string;
  /**
   * Day that the baseline begins with: of the service, or the one that somebody named; null: before the first service
   * on record.
   */
  readonly lifeFrom: string | null;
  readonly quantity: string;
  /** The day as of which they were frozen: nothing later had been looked at. */
  readonly frozenOn: string;
  readonly mean: number;
  readonly scale: number;
  readonly meanWeight: number;
  readonly df: number;
  readonly checks: number;
  readonly fromDay: number;
  readonly toDay: number;
  readonly centreDay: number;
  readonly runLength: number;
  readonly perMonthPer100Units: number;
  readonly strayShare: number;
  /** null: frozen before these were kept. */
  readonly levelFactor: number | null;
  readonly rateVariance: number | null;
  readonly wanderVariance: number | null;
}

/** What a run learnt from the whole fleet, kept so that forecasts do not jump with every file. */
export interface KeptFigures {
  /** The day as of which they were learnt: nothing later had been looked at. */
  readonly asOf: string;
  /** Readings that they were learnt from. */
  readonly readings: number;
  /** What else they depend on, in the words of whoever keeps them; figures with another basis are of no use. */
  readonly basis: string;
  /** The figures, as JSON. */
  readonly figures: string;
}

/** How past forecasts came true, kept because working it out anew takes minutes. */
export interface KeptRecord {
  /** The day as of which it was worked out: nothing later had been looked at. */
  readonly asOf: string;
  /** What else it depends on, in the words of whoever keeps it; a record with another basis is of no use. */
  readonly basis: string;
  /** The store's revision that it was worked out from. */
  readonly revision: number;
  /** The record, as JSON. */
  readonly record: string;
}

/** Settings as somebody put them in force. */
export interface SettingsChange {
  readonly setAtMs: number;
  readonly by: string;
  /** null: no reason was given. */
  readonly why: string | null;
  /** ISO day from which they hold, where that is not the instant at which they were set. */
  readonly fromDay: string | null;
  /** All settings, as JSON. */
  readonly settings: string;
}

export type JudgementKind = "set-aside" | "step-cause" | "remark" | "baseline" | "undo";

/** What a person decided about a unit, with who, when and why. */
export interface Judgement {
  readonly id: number;
  readonly kind: JudgementKind;
  readonly instrument: string;
  readonly madeAtMs: number;
  readonly by: string;
  readonly why: string;
  /** set-aside: the instant of the check. */
  readonly checkedAtMs: number | null;
  /** set-aside: the one reading at this speed; null: the whole check. */
  readonly speedRpm: number | null;
  /** step-cause, remark: the day that it is about; baseline: the day from which limits are fitted anew. */
  readonly onDay: string | null;
  /** undo: the judgement that no longer holds. */
  readonly undoes: number | null;
}
