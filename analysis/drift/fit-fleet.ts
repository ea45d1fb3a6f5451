import type { FleetChecks, UnitChecks } from "../fleet.ts";
import { EffectEstimates, type EffectGroup, groupEffects, groupOf, SharedSystem } from "./effect-blocks.ts";
import { EventSearch } from "./events.ts";
import { type FleetFigures, figuresOf } from "./figures.ts";
import { JointColumns } from "./joint-columns.ts";
import {
  countKinds,
  type Explanation,
  expectLife,
  explainLife,
  noKindCounts,
  type RateEvidence,
  rateEvidence,
  weighKinds,
} from "./kinds.ts";
import { type LifeChecks, livesOf, withoutShared } from "./life-checks.ts";
import { type LifeEvents, LifeFilter, NO_EVENTS } from "./life-filter.ts";
import { LifeSmoother } from "./life-smoother.ts";
import { fitNoise, type LifeForNoise } from "./noise-fit.ts";
import { movedVariance, repeatabilityScore, sumOfScores, type VarianceScore } from "./noise-scores.ts";
import { type OwnPrior, ownPosterior } from "./own-posterior.ts";
import { noiseOf, POPULATION_BEFORE_DATA, type Population, soundPrior } from "./population.ts";
import { countOwn, noOwnCounts, updatePopulation } from "./population-counts.ts";
import {
  effectInformation,
  informationGiven,
  type JointInformation,
  jointInformation,
} from "./shared-causes.ts";
import { designShared, type SharedDesign, surveyChecks } from "./shared-design.ts";
import {
  isAgeing,
  type SharedSpread,
  spreadBeforeData,
  spreadFor,
  updateSpread,
} from "./shared-variances.ts";
import { unitsToLearnFrom } from "./unit-sample.ts";

/** Passes over the readings, each with lots, events and noises as the pass before left them. */
const PASSES = 3;

/** Steps of expectation-maximisation within a pass; the readings are not touched. */
const STEPS = 4;

/** Where an ageing lot's rate may change. Unit: days after its first use. */
const AGEING_KNEES = [0, 60, 120, 240];

/** A life with a reading this far off is judged, but teaches nothing about the fleet. Unit: % of full scale. */
const WILD = 25;

/** Explanations of a life that weigh less are left out of the shared equations. */
const NEGLIGIBLE = 0.01;

/** One life as it stands in the fit. */
interface LifeFit {
  checks: LifeChecks;
  /** null: the life teaches nothing about the fleet, for want of checks or because they are wild. */
  joint: JointInformation | null;
  events: LifeEvents;
  sound: OwnPrior;
  evidence: RateEvidence | null;
  /** Of its own numbers under `sound`; null: not worked out since the last pass over its readings. */
  covariance: Float64Array | null;
  /** With the weights of the last look at it. */
  explanations: readonly Explanation[];
}

interface UnitFit {
  readonly unit: UnitChecks;
  repeatability: number;
  lives: LifeFit[];
}

const SOUND: readonly Explanation[] = [{ kind: -1, weight: 1, mean: 0, variance: 0 }];

/**
 * Learns a fleet: what its lots, baths, geometries and operators are off by, how its units scatter, drift and step.
 *
 * @remarks
 * Each pass filters every life once with all shared effects as columns; then expectation-maximisation alternates,
 * on the small matrices that are left, between solving for the shared effects and explaining each life (sound, or
 * drifting in one kind); then a pass back over the readings finds steps and stray readings and moves the variances.
 * Of a very large fleet a fixed sample is learnt from that leaves out no site and no lot.
 */
export function fitFleet(fleet: FleetChecks): FleetFigures {
  const filter = new LifeFilter();
  const smoother = new LifeSmoother();
  const joined = new JointColumns(filter, smoother);
  const units = unitsToLearnFrom(fleet);
  const survey = surveyChecks(fleet);
  let design = designShared(fleet, () => [0], survey);
  let spread = spreadBeforeData(design);
  let population = POPULATION_BEFORE_DATA;
  let estimates = new EffectEstimates(new Float64Array(design.keys.length), [], spread.variance);
  const fits = units.map(
    (unit): UnitFit => ({ unit, repeatability: Math.exp(population.repeatabilityLogMean), lives: [] }),
  );

  for (let pass = 0; pass < PASSES; pass++) {
    if (pass > 0) {
      population = lookBack(fits, population, estimates, filter, smoother);
      const ageing = new Set(fleet.lots.filter((_, lot) => isAgeing(spread, lot)).map((lot) => lot.fluidLot));
      design = designShared(fleet, (lot) => (ageing.has(lot) ? AGEING_KNEES : [0]), survey);
      spread = spreadFor(design, spread);
    }
    for (const fit of fits) filterUnit(fit, design, population, joined);
    const groups = groupsOf(fits);
    for (let step = 0; step <= STEPS; step++) {
      estimates = solveShared(fits, groups, spread);
      if (step === STEPS) break;
      updateSpread(design, spread, estimates);
      population = explainFleet(fits, population, estimates);
    }
  }
  const repeatability = new Map(fits.map((fit) => [fit.unit.instrument, fit.repeatability]));
  return figuresOf(fleet, design, spread, population, estimates, countUnits(fits, design), repeatability);
}

/** How many units touch each effect. */
function countUnits(fits: readonly UnitFit[], design: SharedDesign): Int32Array {
  const units = new Int32Array(design.keys.length);
  for (const { lives } of fits) {
    for (const effect of new Set(lives.flatMap((life) => [...life.checks.effects]))) units[effect]!++;
  }
  return units;
}

/** Filters a unit's lives with all shared effects as columns. */
function filterUnit(fit: UnitFit, design: SharedDesign, population: Population, joined: JointColumns): void {
  const noise = noiseOf(population, fit.repeatability);
  fit.lives = livesOf(fit.unit, design).map((checks, l): LifeFit => {
    const before = fit.lives[l];
    const events = before?.events ?? NO_EVENTS;
    const teaches = checks.checks > 0 && checks.error.every((error) => Math.abs(error) < WILD);
    if (teaches) joined.run(checks, noise, events);
    return {
      checks,
      joint: teaches ? jointInformation(joined, checks.effects) : null,
      events,
      sound: before?.sound ?? soundPrior(population, checks.startKnown),
      evidence: before?.evidence ?? null,
      covariance: null,
      explanations: before?.explanations ?? SOUND,
    };
  });
}

/** The effects by who touches them. */
function groupsOf(fits: readonly UnitFit[]): EffectGroup[] {
  return groupEffects(
    fits.map(({ unit, lives }) => ({
      group: groupOf(unit),
      effects: lives.flatMap((life) => [...life.checks.effects]),
    })),
  );
}

function solveShared(
  fits: readonly UnitFit[],
  groups: readonly EffectGroup[],
  { variance }: SharedSpread,
): EffectEstimates {
  const system = new SharedSystem(variance.length, groups);
  for (const { unit, lives } of fits) {
    for (const { joint, sound, explanations, covariance } of lives) {
      if (joint === null || joint.effects.length === 0) continue;
      system.add(groupOf(unit), effectInformation(joint, sound, explanations, covariance ?? undefined));
    }
  }
  return system.solve(variance);
}

/** Explains every unit anew with the shared effects as estimated, and re-estimates the population. */
function explainFleet(
  fits: readonly UnitFit[],
  population: Population,
  estimates: EffectEstimates,
): Population {
  const kinds = noKindCounts();
  const own = noOwnCounts();
  for (const { lives } of fits) {
    const seen = lives.filter((life) => life.joint !== null);
    if (seen.length === 0) continue;
    const posteriors = seen.map((life) => {
      life.sound = soundPrior(population, life.checks.startKnown);
      const posterior = ownPosterior(informationGiven(life.joint!, estimates.value), life.sound);
      life.evidence = rateEvidence(population, posterior, life.sound);
      life.covariance = posterior.covariance;
      return posterior;
    });
    const evidence = seen.map((life) => life.evidence!);
    const belief = weighKinds(population, evidence);
    countKinds(kinds, population, belief, evidence);
    seen.forEach((life, l) => {
      const explanations = explainLife(population, belief, life.evidence!);
      const sound = explanations.find((e) => e.kind < 0)!.weight;
      countOwn(own, posteriors[l]!, sound, life.checks.startKnown);
      life.explanations = explanations.filter((e) => e.weight > NEGLIGIBLE);
    });
  }
  return updatePopulation(population, kinds, own);
}

/** Passes back over the readings: events of each life, repeatability of each unit, the fleet's variances. */
function lookBack(
  fits: readonly UnitFit[],
  population: Population,
  estimates: EffectEstimates,
  filter: LifeFilter,
  smoother: LifeSmoother,
): Population {
  const search = new EventSearch(population, filter, smoother);
  const typical = Math.exp(population.repeatabilityLogMean);
  const lives: LifeForNoise[] = [];
  for (const fit of fits) {
    const noise = noiseOf(population, fit.repeatability);
    const before = lives.length;
    const scores: VarianceScore[] = [];
    for (const life of fit.lives) {
      const { checks } = life;
      if (life.joint === null) continue;
      const others = fit.lives.flatMap((l) => (l === life || l.evidence === null ? [] : [l.evidence]));
      const sound = soundPrior(population, checks.startKnown);
      const expectation = { sound, explanations: expectLife(population, others, sound) };
      const error = withoutShared(checks, estimates.value);
      life.events = search.find(checks, noise, error, expectation).events;
      scores.push(repeatabilityScore(checks, noise, smoother));
      lives.push({ checks, error, events: life.events, expectation, repeatability: 0 });
    }
    fit.repeatability = movedVariance(
      fit.repeatability,
      sumOfScores(scores),
      typical,
      population.repeatabilityLogSd,
    );
    for (let l = before; l < lives.length; l++) lives[l] = { ...lives[l]!, repeatability: fit.repeatability };
  }
  return fitNoise(countEvents(population, lives, fits), lives, filter);
}

/** How much the figures before any data count for. */
const YEARS_BEFORE = 20;
const READINGS_BEFORE = 300;
const UNITS_BEFORE = 4;

/** The population with its rates of events and typical repeatability as found. */
function countEvents(
  population: Population,
  lives: readonly LifeForNoise[],
  fits: readonly UnitFit[],
): Population {
  const before = POPULATION_BEFORE_DATA;
  let steps = before.stepsPerYear * YEARS_BEFORE;
  let years = YEARS_BEFORE;
  let strays = before.strayShare * READINGS_BEFORE;
  let readings = READINGS_BEFORE;
  for (const { checks, events } of lives) {
    steps += events.stepBefore.length;
    years += checks.year[checks.checks - 1]! - (checks.startKnown ? 0 : checks.year[0]!);
    strays += events.dropped.length;
    readings += checks.error.length;
  }
  const logs = fits.map((fit) => Math.log(fit.repeatability));
  return {
    ...population,
    stepsPerYear: steps / years,
    strayShare: strays / readings,
    repeatabilityLogMean:
      (logs.reduce((a, b) => a + b, 0) + UNITS_BEFORE * before.repeatabilityLogMean) /
      (logs.length + UNITS_BEFORE),
  };
}
