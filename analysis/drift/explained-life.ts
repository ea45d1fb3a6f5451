import type { Explanation } from "./kinds.ts";
import {
  evidenceWithOtherPrior,
  type OwnInformation,
  type OwnPosterior,
  type OwnPrior,
  ownPosterior,
  withOtherPrior,
} from "./own-posterior.ts";
import { KIND_PARAMETER } from "./population.ts";

/** What is believed of a life before its readings are looked at. */
export interface Expectation {
  /** The nine numbers if it is sound. */
  readonly sound: OwnPrior;
  readonly explanations: readonly Explanation[];
}

/** One explanation after the readings. */
export interface WeighedExplanation {
  readonly explanation: Explanation;
  readonly weight: number;
  readonly posterior: OwnPosterior;
}

export interface ExplainedLife {
  /** Likeliest first; weights add to 1 up to what was left out. */
  readonly parts: readonly WeighedExplanation[];
  /** Log-likelihood of the readings, explanations averaged. */
  readonly logEvidence: number;
}

/**
 * Weighs the explanations of a life by its readings.
 *
 * @param negligible Explanations that weigh less are left out.
 */
export function weighExplanations(
  information: OwnInformation,
  { sound, explanations }: Expectation,
  negligible: number,
): ExplainedLife {
  const asSound = ownPosterior(information, sound);
  const logs = explanations.map(({ kind, weight, mean, variance }) => {
    const log =
      kind < 0
        ? asSound.logEvidence
        : evidenceWithOtherPrior(asSound, sound, KIND_PARAMETER[kind]!, mean, variance);
    return Math.log(weight) + log;
  });
  const largest = Math.max(...logs);
  const total = logs.reduce((sum, log) => sum + Math.exp(log - largest), 0);
  const parts = explanations
    .map((explanation, i) => ({ explanation, weight: Math.exp(logs[i]! - largest) / total }))
    .filter((part) => part.weight >= negligible)
    .sort((a, b) => b.weight - a.weight)
    .map(({ explanation, weight }) => ({
      explanation,
      weight,
      posterior: posteriorOf(asSound, sound, explanation),
    }));
  return { parts, logEvidence: largest + Math.log(total) };
}

function posteriorOf(
  asSound: OwnPosterior,
  sound: OwnPrior,
  { kind, mean, variance }: Explanation,
): OwnPosterior {
  return kind < 0 ? asSound : withOtherPrior(asSound, sound, KIND_PARAMETER[kind]!, mean, variance);
}

/** The prior of an explanation: that of a sound life, but for the kind's number. */
export function priorOf({ sound }: Expectation, explanation: Explanation): OwnPrior {
  if (explanation.kind < 0) return sound;
  const mean = new Float64Array(sound.mean);
  const variance = new Float64Array(sound.variance);
  mean[KIND_PARAMETER[explanation.kind]!] = explanation.mean;
  variance[KIND_PARAMETER[explanation.kind]!] = explanation.variance;
  return { mean, variance };
}
