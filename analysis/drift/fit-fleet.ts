import type { FleetChecks } from "../fleet.ts";
import { EventSearch, type PriorExplanation } from "./events.ts";
import type { FleetFigures } from "./figures.ts";
import {
  countKinds,
  explainLife,
  type KindBelief,
  noKindCounts,
  type RateEvidence,
  rateEvidence,
  weighKinds,
} from "./kinds.ts";
import { type LifeChecks, livesOf } from "./life-checks.ts";
import { type LifeEvents, LifeFilter, NO_EVENTS } from "./life-filter.ts";
import { LifeSmoother } from "./life-smoother.ts";
import { addNoiseScores, movedVariance, noScores } from "./noise-scores.ts";
import { type OwnPrior, ownPosterior, type WeighedPosterior } from "./own-posterior.ts";
import {
  KIND_PARAMETER,
  noiseOf,
  POPULATION_BEFORE_DATA,
  type Population,
  soundPrior,
  withParameter,
} from "./population.ts";
import { countOwn, noOwnCounts, updatePopulation } from "./population-counts.ts";
import {
  type EffectEstimates,
  effectInformation,
  informationGiven,
  type JointInformation,
  jointInformation,
  SharedSystem,
} from "./shared-causes.ts";
import { CAUSES, designShared, type LotCourse, type SharedDesign } from "./shared-design.ts";
import {
  isAgeing,
  type SharedSpread,
  spreadBeforeData,
  spreadFor,
  updateSpread,
} from "./shared-variances.ts";

/** Passes over the readings, each with lots, events and noises as the pass before left them. */
const PASSES = 3;

/** Steps of expectation-maximisation within a pass; the readings are not touched. */
const STEPS = 5;

/** Where an ageing lot's rate may change. Unit: days after its first use. */
const AGEING_KNEES = [0, 60, 120, 240];

/** Explanations of a life that weigh less are left out of the shared equations. */
const NEGLIGIBLE = 0.01;

interface UnitFit {
  lives: LifeChecks[];
  joint: JointInformation[];
  events: LifeEvents[];
  repeatability: number;
  evidence: RateEvidence[];
  posterior: WeighedPosterior[];
  belief: KindBelief | null;
}

/**
 * Learns a fleet: what its lots, baths, geometries and operators are off by, how its units scatter, drift and step.
 *
 * @remarks
 * Each pass filters every life once with all shared effects as columns; then expectation-maximisation alternates,
 * on the small matrices that are left, between explaining each life (sound, or drifting in one kind) and solving
 * for the shared effects with the lives so explained; then a pass back over the readings finds steps and stray
 * readings and moves the variances.
 */
export function fitFleet(fleet: FleetChecks): FleetFigures {
  let design = designShared(fleet, () => [0]);
  let spread = spreadBeforeData(design);
  let population = POPULATION_BEFORE_DATA;
  let estimates: EffectEstimates | null = null;
  const filter = new LifeFilter();
  const smoother = new LifeSmoother();
  const typical = Math.exp(population.repeatabilityLogMean);
  const fits: UnitFit[] = fleet.units.map((unit) => {
    const lives = livesOf(unit, design);
    return {
      lives,
      joint: [],
      events: lives.map(() => NO_EVENTS),
      repeatability: typical,
      evidence: [],
      posterior: [],
      belief: null,
    };
  });

  for (let pass = 0; pass < PASSES; pass++) {
    if (pass > 0) {
      const knees = new Set(fleet.lots.filter((_, lot) => isAgeing(spread, lot)).map((l) => l.fluidLot));
      design = designShared(fleet, (lot) => (knees.has(lot) ? AGEING_KNEES : [0]));
      spread = spreadFor(design, spread);
      fleet.units.forEach((unit, i) => {
        fits[i]!.lives = livesOf(unit, design);
      });
    }
    for (const fit of fits) {
      const noise = noiseOf(population, fit.repeatability);
      fit.joint = fit.lives.map((life, l) => {
        filter.run(life, noise, fit.events[l]!, true);
        return jointInformation(filter, life.effects);
      });
    }
    for (let step = 0; step < STEPS; step++) {
      estimates = solveShared(fits, design, spread, population);
      updateSpread(design, spread, estimates);
      population = learnPopulation(fits, population, estimates);
    }
    estimates = solveShared(fits, design, spread, population);
    if (pass < PASSES - 1) {
      population = lookBack(fits, population, estimates, filter, smoother);
    }
  }
  return figuresFrom(fleet, design, spread, population, estimates!, fits);
}

function explanationsOf(fit: UnitFit, life: number, population: Population) {
  const prior = soundPrior(population, fit.lives[life]!.startKnown);
  if (fit.belief === null) return [{ weight: 1, prior }];
  return explainLife(population, fit.belief, fit.evidence[life]!)
    .filter((e) => e.weight > NEGLIGIBLE)
    .map((e) => ({
      weight: e.weight,
      prior: e.kind < 0 ? prior : withParameter(prior, KIND_PARAMETER[e.kind]!, e.mean, e.variance),
    }));
}

function solveShared(
  fits: readonly UnitFit[],
  design: SharedDesign,
  spread: SharedSpread,
  population: Population,
): EffectEstimates {
  const system = new SharedSystem(design.keys.length);
  for (const fit of fits) {
    fit.joint.forEach((joint, l) => {
      if (joint.used > 0 && joint.effects.length > 0) {
        system.add(effectInformation(joint, explanationsOf(fit, l, population)));
      }
    });
  }
  return system.solve(spread.variance);
}

/** Explains every unit anew with the shared effects as estimated, and re-estimates the population. */
function learnPopulation(
  fits: readonly UnitFit[],
  population: Population,
  estimates: EffectEstimates,
): Population {
  const kinds = noKindCounts();
  const own = noOwnCounts();
  for (const fit of fits) {
    fit.posterior = [];
    fit.evidence = fit.joint.map((joint, l) => {
      const prior = soundPrior(population, fit.lives[l]!.startKnown);
      const posterior = ownPosterior(informationGiven(joint, estimates.value), prior);
      fit.posterior.push(posterior);
      return rateEvidence(posterior, prior);
    });
    fit.belief = weighKinds(population, fit.evidence);
    if (fit.joint.some((j) => j.used > 0)) countKinds(kinds, population, fit.belief, fit.evidence);
    fit.evidence.forEach((evidence, l) => {
      if (fit.joint[l]!.used === 0) return;
      const explanations = explainLife(population, fit.belief!, evidence);
      const sound = explanations.find((e) => e.kind < 0)!.weight;
      countOwn(own, fit.posterior[l]!, sound, fit.lives[l]!.startKnown);
    });
  }
  return updatePopulation(population, kinds, own);
}

/** What is believed of one life by the unit's other lives and the fleet. */
export function priorExplanations(
  population: Population,
  others: readonly RateEvidence[],
  prior: OwnPrior,
): PriorExplanation[] {
  const unknown: RateEvidence = { estimate: new Float64Array(5), precision: new Float64Array(5), prior };
  const belief = weighKinds(population, others);
  return explainLife(population, belief, unknown).map((e) => ({
    weight: e.weight,
    prior: e.kind < 0 ? prior : withParameter(prior, KIND_PARAMETER[e.kind]!, e.mean, e.variance),
  }));
}

/** The life's errors with the shared effects taken away. Shape: one number a reading. Unit: % of full scale. */
export function withoutShared(life: LifeChecks, value: ArrayLike<number>): Float64Array {
  const error = Float64Array.from(life.error);
  for (let k = 0; k < life.checks; k++) {
    let shared = 0;
    for (let e = life.effectStart[k]!; e < life.effectStart[k + 1]!; e++) {
      shared += value[life.effects[life.effect[e]!]!]! * life.factor[e]!;
    }
    for (let r = life.firstReading[k]!; r < life.firstReading[k + 1]!; r++)
      error[r]! -= shared * life.span[r]!;
  }
  return error;
}

/** Passes back over the readings: events of each life, repeatability of each unit, the fleet's variances. */
function lookBack(
  fits: readonly UnitFit[],
  population: Population,
  estimates: EffectEstimates,
  filter: LifeFilter,
  smoother: LifeSmoother,
): Population {
  const scores = noScores();
  const search = new EventSearch(population, filter, smoother);
  const typical = Math.exp(population.repeatabilityLogMean);
  let steps = 0;
  let strays = 0;
  let years = 0;
  let readings = 0;
  for (const fit of fits) {
    const own = { score: 0, information: 0 };
    const noise = noiseOf(population, fit.repeatability);
    fit.events = fit.lives.map((life, l) => {
      if (life.checks === 0) return NO_EVENTS;
      const prior = soundPrior(population, life.startKnown);
      const explanations = priorExplanations(
        population,
        fit.evidence.filter((_, other) => other !== l),
        prior,
      );
      const error = withoutShared(life, estimates.value);
      const events = search.find(life, noise, error, explanations);
      const score = addNoiseScores(scores, life, noise, smoother);
      own.score += score.score;
      own.information += score.information;
      steps += events.stepBefore.length;
      strays += events.dropped.length;
      years += life.year[life.checks - 1]! - (life.startKnown ? 0 : life.year[0]!);
      readings += life.error.length;
      return events;
    });
    fit.repeatability = movedVariance(fit.repeatability, own, typical, population.repeatabilityLogSd);
  }
  const logs = fits.filter((f) => f.joint.some((j) => j.used > 20)).map((f) => Math.log(f.repeatability));
  const mean =
    logs.length > 4 ? logs.reduce((a, b) => a + b, 0) / logs.length : population.repeatabilityLogMean;
  const before = POPULATION_BEFORE_DATA;
  return {
    ...population,
    repeatabilityLogMean: mean,
    stepsPerYear: (steps + before.stepsPerYear * 20) / (years + 20),
    strayShare: (strays + before.strayShare * 300) / (readings + 300),
    proportional: movedVariance(population.proportional, scores.proportional, before.proportional, 1),
    temperature: movedVariance(population.temperature, scores.temperature, before.temperature, 1),
    wander: population.wander.map((w, c) => movedVariance(w, scores.wander[c]!, before.wander[c]!, 1)),
  };
}

function figuresFrom(
  fleet: FleetChecks,
  design: SharedDesign,
  spread: SharedSpread,
  population: Population,
  estimates: EffectEstimates,
  fits: readonly UnitFit[],
): FleetFigures {
  const n = design.keys.length;
  const covariance: number[] = [];
  for (let i = 0; i < n; i++) for (let j = 0; j <= i; j++) covariance.push(estimates.covariance[i * n + j]!);
  return {
    asOfDay: fleet.asOfDay,
    population,
    shared: {
      keys: design.keys,
      value: [...estimates.value],
      priorVariance: [...spread.variance],
      covariance,
      courses: design.courses.filter((c): c is LotCourse => c !== null),
      newVariance: Object.fromEntries(CAUSES.map((cause) => [cause, spread.sd[cause] ** 2])),
      ageing: Object.fromEntries(fleet.lots.map((lot, i) => [lot.fluidLot, spread.ageing[i]!])),
    },
    repeatability: Object.fromEntries(
      fleet.units.map((unit, i) => [unit.instrument, fits[i]!.repeatability]),
    ),
  };
}
