import type { PatternName } from "../assessment.ts";
import { normalCdf } from "../distributions/normal.ts";

/** What is known of a unit when its pattern is to be named. */
export interface PatternEvidence {
  /** Ways to understand the present life; weights add to 1. */
  readonly explanations: readonly {
    /** What drifts; null: nothing does. */
    readonly drift: "span" | "zero" | "friction" | "curvature" | "acceleration" | null;
    readonly hasStep: boolean;
    readonly weight: number;
  }[];
  /** What the steps of this life leave together at the judging torque where that is most, over the tolerance there. */
  readonly stepOverTolerance: number;
  /** Where each shape stands, moving or not. */
  readonly standing: readonly {
    readonly name: "span" | "zero" | "friction" | "curvature";
    /** At the judging torque where it is most. */
    readonly overTolerance: number;
    /** Standard deviation of that. */
    readonly sd: number;
  }[];
  /** Standard deviation of the unit's single readings over that of a typical unit of the fleet. */
  readonly scatterOverTypical: number;
  /** By how much units of the fleet differ in that: standard deviation of its natural logarithm. */
  readonly scatterLogSd: number;
}

/** A shape that takes more than this share of the tolerance is named though it does not move, where that is sure. */
const STANDING_WORTH_NAMING = 0.6;
const SURE = 0.9;

/** Steps that leave less than this share of the tolerance are no pattern of their own. */
const STEP_WORTH_NAMING = 0.2;

/**
 * A unit scatters when its readings do so by this many times the typical, and by more than sound units differ: one in
 * two hundred does.
 */
const SCATTER_WORTH_NAMING = 2;
const SCATTER_STANDS_OUT = 2.5;

/**
 * The pattern that a unit's error follows, and how strongly the evidence is for it.
 *
 * @remarks
 * Drift is named before a step, because it goes on; what stands still, only where nothing moves. Scatter is named only
 * where nothing else is, because it says least about where the unit is heading. Steps that took each other back are no
 * pattern: they have passed.
 *
 * @returns `strength` from 0 to 1: the weight of the explanations that show the pattern; for a shape that stands
 *   still, the probability that it takes so much of the tolerance; for `scatter`, the share
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
  if (likeliest.name === "none") {
    const standing = surelyStanding(evidence);
    if (standing) return standing;
    const { scatterOverTypical, scatterLogSd } = evidence;
    if (scatterOverTypical >= Math.max(SCATTER_WORTH_NAMING, Math.exp(SCATTER_STANDS_OUT * scatterLogSd))) {
      return { name: "scatter", strength: 1 - scatterOverTypical ** -2 };
    }
  }
  return { ...likeliest, strength: Math.min(1, likeliest.strength) };
}

/** The shape that most surely takes a large share of the tolerance; null where none does. */
function surelyStanding({ standing }: PatternEvidence): { name: PatternName; strength: number } | null {
  let found: { name: PatternName; strength: number } | null = null;
  for (const { name, overTolerance, sd } of standing) {
    const strength = normalCdf((Math.abs(overTolerance) - STANDING_WORTH_NAMING) / Math.max(sd, 1e-9));
    if (strength >= SURE && strength > (found?.strength ?? 0)) found = { name, strength };
  }
  return found;
}
