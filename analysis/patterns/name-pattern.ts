import type { PatternName } from "../assessment.ts";

/** What is known of a unit when its pattern is to be named. */
export interface PatternEvidence {
  /** Ways to understand the present life; weights add to 1. */
  readonly explanations: readonly {
    /** What drifts; null: nothing does. */
    readonly drift: "span" | "zero" | "friction" | "curvature" | "acceleration" | null;
    readonly hasStep: boolean;
    readonly weight: number;
  }[];
  /** The largest step's error at a judging torque, over the tolerance there. */
  readonly stepOverTolerance: number;
  /** Standard deviation of the unit's single readings over that of a typical unit of the fleet. */
  readonly scatterOverTypical: number;
}

/** A step smaller than this share of the tolerance is no pattern of its own. */
const STEP_WORTH_NAMING = 0.2;

/** A unit scatters when its readings do so by this many times the typical. */
const SCATTER_WORTH_NAMING = 2;

/**
 * The pattern that a unit's error follows, and how strongly the evidence is for it.
 *
 * @remarks
 * Drift is named before a step, because it goes on. Scatter is named only where nothing else is, because it says
 * least about where the unit is heading.
 *
 * @returns `strength` from 0 to 1: the weight of the explanations that show the pattern; for `scatter`, the share
 *   of the unit's scatter (variance) that a typical unit would not have.
 */
export function namePattern(evidence: PatternEvidence): { name: PatternName; strength: number } {
  const weight = new Map<PatternName, number>();
  for (const { drift, hasStep, weight: w } of evidence.explanations) {
    const isStep = hasStep && evidence.stepOverTolerance >= STEP_WORTH_NAMING;
    const name = drift === null ? (isStep ? "step" : "none") : drift === "acceleration" ? "span" : drift;
    weight.set(name, (weight.get(name) ?? 0) + w);
  }
  let likeliest: { name: PatternName; strength: number } = { name: "none", strength: 0 };
  for (const [name, strength] of weight) if (strength > likeliest.strength) likeliest = { name, strength };
  if (likeliest.name === "none" && evidence.scatterOverTypical >= SCATTER_WORTH_NAMING) {
    return { name: "scatter", strength: 1 - evidence.scatterOverTypical ** -2 };
  }
  return { ...likeliest, strength: Math.min(1, likeliest.strength) };
}
