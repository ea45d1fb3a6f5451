import type { Explanation } from "./kinds.ts";
import {
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
  const all = explanations.map((explanation) => {
    const posterior =
      explanation.kind < 0
        ? asSound
        : withOtherPrior(
            asSound,
            sound,
            KIND_PARAMETER[explanation.kind]!,
            explanation.mean,
            explanation.variance,
          );
    return { explanation, posterior, log: Math.log(explanation.weight) + posterior.logEvidence };
  });
  const largest = Math.max(...all.map((part) => part.log));
  const total = all.reduce((sum, part) => sum + Math.exp(part.log - largest), 0);
  const parts = all
    .map(({ explanation, posterior, log }) => ({
      explanation,
      posterior,
      weight: Math.exp(log - largest) / total,
    }))
    .filter((part) => part.weight >= negligible)
    .sort((a, b) => b.weight - a.weight);
  return { parts, logEvidence: largest + Math.log(total) };
}

/** The prior of an explanation: that of a sound life, but for the kind's number. */
export function priorOf({ sound }: Expectation, explanation: Explanation): OwnPrior {
  if (explanation.kind < 0) return sound;
  const mean = Float64Array.from(sound.mean);
  const variance = Float64Array.from(sound.variance);
  mean[KIND_PARAMETER[explanation.kind]!] = explanation.mean;
  variance[KIND_PARAMETER[explanation.kind]!] = explanation.variance;
  return { mean, variance };
}
