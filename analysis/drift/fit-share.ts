import type { UnitChecks } from "../fleet.ts";
import { type EffectGroup, GroupEquations, groupOf } from "./effect-blocks.ts";
import { EventSearch } from "./events.ts";
import type {
  EquationSums,
  EventCounts,
  ExplainedPart,
  FitOrder,
  FitPart,
  PartAnswer,
  Touched,
} from "./fit-steps.ts";
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
import { ENOUGH_CHECKS, type LifeForNoise, logOfLife } from "./noise-fit.ts";
import { movedVariance, repeatabilityScore, sumOfScores, type VarianceScore } from "./noise-scores.ts";
import { type OwnPrior, ownPosterior } from "./own-posterior.ts";
import { noiseOf, POPULATION_BEFORE_DATA, type Population, soundPrior } from "./population.ts";
import { countOwn, noOwnCounts } from "./population-counts.ts";
import {
  effectInformation,
  informationGiven,
  type JointInformation,
  jointInformation,
} from "./shared-causes.ts";
import type { SharedDesign } from "./shared-design.ts";

/** A life with a reading this far off is judged, but teaches nothing about the fleet. Unit: % of full scale. */
const WILD = 25;

/** Explanations of a life that weigh less are left out of the shared equations. */
const NEGLIGIBLE = 0.01;

/** So many units of one group at most are one part of the work; what they sum to is added up part by part. */
const UNITS_A_PART = 32;

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

/** Cuts the units that a fleet is learnt from into parts. */
export function partsOf(units: readonly UnitChecks[]): FitPart[] {
  const parts: FitPart[] = [];
  const positionsOf = Map.groupBy(units.keys(), (position) => groupOf(units[position]!));
  for (const [group, all] of positionsOf) {
    for (let from = 0; from < all.length; from += UNITS_A_PART) {
      const positions = all.slice(from, from + UNITS_A_PART);
      parts.push({ number: parts.length, group, positions, units: positions.map((p) => units[p]!) });
    }
  }
  return parts;
}

/** Some parts of the units that a fleet is learnt from, with how each of their lives stands between steps. */
export class FitShare {
  private readonly filter = new LifeFilter();
  private readonly smoother = new LifeSmoother();
  private readonly joined = new JointColumns(this.filter, this.smoother);
  private readonly parts: readonly { readonly part: FitPart; readonly fits: readonly UnitFit[] }[];
  /** By part, the lives with enough checks to tell the noises, as the last way back left them. */
  private readonly enough = new Map<number, LifeForNoise[]>();

  constructor(parts: readonly FitPart[]) {
    const repeatability = Math.exp(POPULATION_BEFORE_DATA.repeatabilityLogMean);
    this.parts = parts.map((part) => ({
      part,
      fits: part.units.map((unit) => ({ unit, repeatability, lives: [] })),
    }));
  }

  /** Does a step for all its parts. */
  answer(order: FitOrder): PartAnswer[] {
    return this.parts.map(({ part, fits }) => ({ part: part.number, answer: this.take(order, part, fits) }));
  }

  private take(order: FitOrder, part: FitPart, fits: readonly UnitFit[]): PartAnswer["answer"] {
    switch (order.step) {
      case "filter":
        for (const fit of fits) filterUnit(fit, order.design, order.population, this.joined);
        return touchedBy(fits);
      case "equate":
        return equationsOf(fits, order.groups.find(({ name }) => name === part.group)!);
      case "explain":
        return explainUnits(fits, order.population, order.value);
      case "lookBack":
        return this.lookBack(part, fits, order.population, order.value);
      case "weigh": {
        const lives = this.enough.get(part.number) ?? [];
        return Float64Array.from(
          order.populations.flatMap((population) =>
            (order.lives[part.number] ?? []).map((life) => logOfLife(population, lives[life]!, this.filter)),
          ),
        );
      }
      case "repeatability":
        return Float64Array.from(fits, (fit) => fit.repeatability);
    }
  }

  /** Passes back over the readings: events of each life, repeatability of each unit. */
  private lookBack(
    part: FitPart,
    fits: readonly UnitFit[],
    population: Population,
    value: Float64Array,
  ): EventCounts {
    const { filter, smoother } = this;
    const search = new EventSearch(population, filter, smoother);
    const enough: LifeForNoise[] = [];
    const counts = { steps: 0, years: 0, strays: 0, readings: 0, logRepeatability: 0 };
    const enoughOf = new Int32Array(fits.length);
    fits.forEach((fit, u) => {
      const lives = lookBackOver(fit, population, value, search, smoother);
      counts.logRepeatability += Math.log(fit.repeatability);
      for (const life of lives) {
        const { checks, events } = life;
        counts.steps += events.stepBefore.length;
        counts.years += checks.year[checks.checks - 1]! - (checks.startKnown ? 0 : checks.year[0]!);
        counts.strays += events.dropped.length;
        counts.readings += checks.error.length;
        if (checks.checks < ENOUGH_CHECKS) continue;
        enough.push(life);
        enoughOf[u]!++;
      }
    });
    this.enough.set(part.number, enough);
    return { ...counts, enough: enoughOf };
  }
}

/** How many units touch each effect. */
function touchedBy(fits: readonly UnitFit[]): Touched {
  const units = new Map<number, number>();
  for (const { lives } of fits) {
    for (const effect of new Set(lives.flatMap((life) => [...life.checks.effects]))) {
      units.set(effect, (units.get(effect) ?? 0) + 1);
    }
  }
  return { effects: Int32Array.from(units.keys()), units: Int32Array.from(units.values()) };
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

function equationsOf(fits: readonly UnitFit[], group: EffectGroup): EquationSums {
  const equations = new GroupEquations(group);
  for (const { lives } of fits) {
    for (const { joint, sound, explanations, covariance } of lives) {
      if (joint === null || joint.effects.length === 0) continue;
      equations.add(effectInformation(joint, sound, explanations, covariance ?? undefined));
    }
  }
  return { matrix: equations.matrix, vector: equations.vector };
}

/** Explains units anew with the shared effects as estimated, and counts what the population is re-estimated from. */
function explainUnits(fits: readonly UnitFit[], population: Population, value: Float64Array): ExplainedPart {
  const kinds = noKindCounts();
  const own = noOwnCounts();
  for (const { lives } of fits) {
    const seen = lives.filter((life) => life.joint !== null);
    if (seen.length === 0) continue;
    const posteriors = seen.map((life) => {
      life.sound = soundPrior(population, life.checks.startKnown);
      const posterior = ownPosterior(informationGiven(life.joint!, value), life.sound);
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
  return { kinds, own };
}

/** Finds the events of a unit's lives, and moves its repeatability. */
function lookBackOver(
  fit: UnitFit,
  population: Population,
  value: Float64Array,
  search: EventSearch,
  smoother: LifeSmoother,
): LifeForNoise[] {
  const noise = noiseOf(population, fit.repeatability);
  const found: Omit<LifeForNoise, "repeatability">[] = [];
  const scores: VarianceScore[] = [];
  for (const life of fit.lives) {
    const { checks } = life;
    if (life.joint === null) continue;
    const others = fit.lives.flatMap((l) => (l === life || l.evidence === null ? [] : [l.evidence]));
    const sound = soundPrior(population, checks.startKnown);
    const expectation = { sound, explanations: expectLife(population, others, sound) };
    const error = withoutShared(checks, value);
    life.events = search.find(checks, noise, error, expectation).events;
    scores.push(repeatabilityScore(checks, noise, smoother));
    found.push({ checks, error, events: life.events, expectation });
  }
  fit.repeatability = movedVariance(
    fit.repeatability,
    sumOfScores(scores),
    Math.exp(population.repeatabilityLogMean),
    population.repeatabilityLogSd,
  );
  return found.map((life) => ({ ...life, repeatability: fit.repeatability }));
}
