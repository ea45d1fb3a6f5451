import {
  beyondThreeSigma,
  eightBeyondOneSigma,
  fifteenWithinOneSigma,
  fourOfFiveBeyondOneSigma,
  fourteenAlternating,
  nineOnOneSide,
  type RunRule,
  sixRisingOrFalling,
  twoOfThreeBeyondTwoSigma,
} from "../control-charts/run-rules.ts";

/** The run rules by the number that they are known by. */
const RULES: readonly RunRule[] = [
  beyondThreeSigma,
  nineOnOneSide,
  sixRisingOrFalling,
  fourteenAlternating,
  twoOfThreeBeyondTwoSigma,
  fourOfFiveBeyondOneSigma,
  fifteenWithinOneSigma,
  eightBeyondOneSigma,
];

/** A run rule that was met: a note on the unit's own page, never an alarm. */
export interface RunNote {
  /** 1 to 8, as published. */
  readonly rule: number;
  /** Day at which a run of it began to be met, and how many checks in a row met it. */
  readonly onDay: number;
  readonly checks: number;
}

/**
 * Where scores follow a run rule; neighbouring checks that meet the same rule are one note.
 *
 * @param days Shape: that of `scores`.
 * @param scores Standard normal while nothing happens, oldest first.
 */
export function runNotes(days: readonly number[], scores: readonly number[]): RunNote[] {
  const notes: RunNote[] = [];
  RULES.forEach((rule, r) => {
    let last = -2;
    for (const i of rule(scores)) {
      const before = notes.at(-1);
      if (i === last + 1 && before !== undefined)
        notes[notes.length - 1] = { ...before, checks: before.checks + 1 };
      else notes.push({ rule: r + 1, onDay: days[i]!, checks: 1 });
      last = i;
    }
  });
  return notes.sort((a, b) => a.onDay - b.onDay || a.rule - b.rule);
}
