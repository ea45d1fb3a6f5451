import type { LifeChecks } from "./life-checks.ts";
import type { LifeNoise } from "./life-filter.ts";
import type { LifeSmoother } from "./life-smoother.ts";

/** A score of the logarithm of one variance, and the information about it. */
export interface VarianceScore {
  readonly score: number;
  readonly information: number;
}

/** One stray value must not pull a variance: squares count up to this many times their expectation. */
const SQUARE_LIMIT = 9;

/**
 * What a smoothed life says about its unit's repeatability.
 *
 * @remarks Source: S. J. Koopman and N. Shephard, Exact score for time series models in state space form,
 * Biometrika 79 (1992) 823-826; the information is its expectation.
 */
export function repeatabilityScore(
  life: LifeChecks,
  noise: LifeNoise,
  smoother: LifeSmoother,
): VarianceScore {
  let score = 0;
  let information = 0;
  for (let r = 0; r < life.error.length; r++) {
    const expected = smoother.readingInformation[r]!;
    const square = Math.min(smoother.readingScore[r]! ** 2, SQUARE_LIMIT * expected);
    const variance = noise.repeatability * life.varianceFactor[r]!;
    score += 0.5 * variance * (square - expected);
    information += 0.5 * (variance * expected) ** 2;
  }
  return { score, information };
}

/** Scores of independent lives add up. */
export function sumOfScores(scores: readonly VarianceScore[]): VarianceScore {
  return {
    score: scores.reduce((sum, s) => sum + s.score, 0),
    information: scores.reduce((sum, s) => sum + s.information, 0),
  };
}

/**
 * A variance moved to where its score says it should be, with a normal prior on its logarithm.
 *
 * @remarks For a variance that is nearly all the scatter there is: score over information is then the relative
 * change asked for, and the logarithm of the changed ratio gets there in one step, from far off too.
 *
 * @param typical Where the prior is centred.
 * @param logSd Its standard deviation on the logarithm.
 */
export function movedVariance(
  variance: number,
  { score, information }: VarianceScore,
  typical: number,
  logSd: number,
): number {
  const priorInformation = 1 / logSd ** 2;
  const asked = information > 0 ? Math.log1p(Math.max(-0.95, score / information)) : 0;
  const step =
    (information * asked + priorInformation * Math.log(typical / variance)) /
    (information + priorInformation);
  return variance * Math.exp(step);
}
