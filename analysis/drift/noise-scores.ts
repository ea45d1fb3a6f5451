import type { LifeChecks } from "./life-checks.ts";
import { type LifeNoise, STATE } from "./life-filter.ts";
import type { LifeSmoother } from "./life-smoother.ts";

/** A score and the information about the logarithm of one variance. */
export interface VarianceScore {
  score: number;
  information: number;
}

/** How the fleet's variances should move, summed over smoothed lives. */
export interface NoiseScores {
  readonly proportional: VarianceScore;
  readonly temperature: VarianceScore;
  readonly wander: readonly VarianceScore[];
}

/** One stray value must not pull a variance: squares count up to this many times their expectation. */
const SQUARE_LIMIT = 9;

export function noScores(): NoiseScores {
  const none = () => ({ score: 0, information: 0 });
  return { proportional: none(), temperature: none(), wander: [none(), none(), none(), none()] };
}

function add(into: VarianceScore, variance: number, score: number, information: number): void {
  const square = Math.min(score * score, SQUARE_LIMIT * information);
  into.score += 0.5 * variance * (square - information);
  into.information += 0.5 * (variance * information) ** 2;
}

/**
 * Adds a smoothed life to the scores of the fleet's variances, and returns that of its repeatability.
 *
 * @remarks Source: S. J. Koopman and N. Shephard, Exact score for time series models in state space form,
 * Biometrika 79 (1992) 823-826; the information is its expectation for one variance at a time.
 */
export function addNoiseScores(
  scores: NoiseScores,
  life: LifeChecks,
  noise: LifeNoise,
  smoother: LifeSmoother,
): VarianceScore {
  const repeatability = { score: 0, information: 0 };
  for (let r = 0; r < life.error.length; r++) {
    const information = smoother.readingInformation[r]!;
    if (information === 0) continue;
    add(repeatability, noise.repeatability * life.varianceFactor[r]!, smoother.readingScore[r]!, information);
  }
  for (let k = 0; k < life.checks; k++) {
    const gap = life.year[k]! - (k > 0 ? life.year[k - 1]! : 0);
    for (let c = 0; c < 4; c++) {
      add(
        scores.wander[c]!,
        noise.wander[c]! * gap,
        smoother.checkScore[k * STATE + c]!,
        smoother.checkInformation[k * (STATE + 1) + c]!,
      );
    }
    const score = smoother.checkScore[k * STATE + 4]!;
    const information = smoother.checkInformation[k * (STATE + 1) + 4]!;
    add(scores.proportional, noise.proportional, score, information);
    if (life.temperatureKnown[k]) {
      add(scores.temperature, noise.temperature * life.coefficient[k]! ** 2, score, information);
    }
  }
  return repeatability;
}

/**
 * A variance moved by one Newton step on its logarithm, with a normal prior on the logarithm.
 *
 * @param priorVariance Where the prior is centred.
 * @param priorLogSd Its standard deviation on the logarithm.
 */
export function movedVariance(
  variance: number,
  { score, information }: VarianceScore,
  priorVariance: number,
  priorLogSd: number,
): number {
  const priorInformation = 1 / priorLogSd ** 2;
  const step =
    (score + priorInformation * Math.log(priorVariance / variance)) / (information + priorInformation);
  return variance * Math.exp(Math.max(-1, Math.min(1, step)));
}
