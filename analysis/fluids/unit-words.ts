import type { ForecastContext } from "../drift/forecast-context.ts";
import { expectLife, explainLife, type RateEvidence, rateEvidence, weighKinds } from "../drift/kinds.ts";
import { livesOf, withoutShared } from "../drift/life-checks.ts";
import { ownPosterior } from "../drift/own-posterior.ts";
import { noiseOf, soundPrior } from "../drift/population.ts";
import {
  effectInformation,
  informationGiven,
  type JointInformation,
  jointInformation,
} from "../drift/shared-causes.ts";
import { lotKey } from "../drift/shared-design.ts";
import type { UnitChecks } from "../fleet.ts";

/** What one unit says of one lot, against what all units together say. */
export interface UnitWord {
  /** How much further from its certificate than by all units together. Unit: % of the certified value. */
  readonly beside: number;
  /** How sure the unit is by itself: lots, baths and geometries other than this taken as known. Same unit. */
  readonly sd: number;
}

/** Explanations of a life that weigh less are left out. */
const NEGLIGIBLE = 0.01;

/**
 * What a unit's own checks say of every lot that it was checked with, its own error and drift taken away.
 *
 * @remarks
 * The lot is one column of the unit's equations, the unit's own numbers are integrated out with the fleet's
 * expectation of them as prior, and every other shared cause stands at its estimate. A unit that has only ever seen one
 * lot can hardly tell the lot from itself: its word then has a large `sd`. The words of all units, weighed by their
 * `sd`, make up the estimate, but for its prior.
 *
 * Source: the unit's part of the equations in methods for crossed effects (Henderson's absorption), as in fit-fleet.ts.
 *
 * @param unit One that the figures were learnt from.
 * @returns By lot; empty where no life has a usable check.
 */
export function unitWords(context: ForecastContext, unit: UnitChecks): ReadonlyMap<string, UnitWord> {
  const { figures, design, estimates, joined, search, fleet } = context;
  const { population } = figures;
  const noise = noiseOf(
    population,
    figures.repeatability[unit.instrument] ?? Math.exp(population.repeatabilityLogMean),
  );
  const evidence: RateEvidence[] = [];
  const lives: JointInformation[] = [];
  const priors: ReturnType<typeof soundPrior>[] = [];
  for (const life of livesOf(unit, design)) {
    if (life.checks === 0) continue;
    const sound = soundPrior(population, life.startKnown);
    const expectation = { sound, explanations: expectLife(population, evidence, sound) };
    search.find(life, noise, withoutShared(life, estimates.value), expectation);
    joined.join(life, estimates.value);
    const joint = jointInformation(joined, life.effects);
    lives.push(joint);
    priors.push(sound);
    evidence.push(
      rateEvidence(population, ownPosterior(informationGiven(joint, estimates.value), sound), sound),
    );
  }
  const belief = weighKinds(population, evidence);
  const pull = new Map<number, number>();
  const precision = new Map<number, number>();
  lives.forEach((joint, l) => {
    const explanations = explainLife(population, belief, evidence[l]!).filter((e) => e.weight > NEGLIGIBLE);
    const { effects, matrix, vector } = effectInformation(joint, priors[l]!, explanations);
    const k = effects.length;
    for (let e = 0; e < k; e++) {
      let left = vector[e]!;
      for (let f = 0; f < k; f++) left -= matrix[e * k + f]! * estimates.value[effects[f]!]!;
      pull.set(effects[e]!, (pull.get(effects[e]!) ?? 0) + left);
      precision.set(effects[e]!, (precision.get(effects[e]!) ?? 0) + matrix[e * k + e]!);
    }
  });
  const words = new Map<string, UnitWord>();
  for (const { fluidLot } of fleet.lots) {
    const effect = design.keys.indexOf(lotKey(fluidLot));
    const weight = precision.get(effect) ?? 0;
    if (weight > 0) words.set(fluidLot, { beside: pull.get(effect)! / weight, sd: 1 / Math.sqrt(weight) });
  }
  return words;
}
