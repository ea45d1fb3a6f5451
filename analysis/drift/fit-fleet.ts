import type { FleetChecks } from "../fleet.ts";
import { EffectEstimates, type EffectGroup, groupEffects, SharedSystem } from "./effect-blocks.ts";
import { type FleetFigures, figuresOf } from "./figures.ts";
import { FitShare, partsOf } from "./fit-share.ts";
import { ask, type EventCounts, type FitPart, type InSteps, type Touched } from "./fit-steps.ts";
import { addKindCounts, noKindCounts } from "./kinds.ts";
import { fitNoise } from "./noise-fit.ts";
import { POPULATION_BEFORE_DATA, type Population } from "./population.ts";
import { addOwnCounts, noOwnCounts, updatePopulation } from "./population-counts.ts";
import { designShared, surveyChecks } from "./shared-design.ts";
import { isAgeing, spreadBeforeData, spreadFor, updateSpread } from "./shared-variances.ts";
import { unitsToLearnFrom } from "./unit-sample.ts";

/** Passes over the readings, each with lots, events and noises as the pass before left them. */
const PASSES = 3;

/** Steps of expectation-maximisation within a pass; the readings are not touched. */
const STEPS = 4;

/** Where an ageing lot's rate may change. Unit: days after its first use. */
const AGEING_KNEES = [0, 60, 120, 240];

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
  const parts = fitParts(fleet);
  const share = new FitShare(parts);
  const fit = fitInSteps(fleet, parts);
  let next = fit.next();
  while (!next.done) next = fit.next(share.answer(next.value));
  return next.value;
}

/** The parts that a fleet is learnt from, each of which may be in hand elsewhere. */
export function fitParts(fleet: FleetChecks): FitPart[] {
  return partsOf(unitsToLearnFrom(fleet));
}

/**
 * The fit of {@link fitFleet}, step by step, for parts that lie with several {@link FitShare}s.
 *
 * @remarks What parts sum to is added in their order: the figures are the same to the last digit however they are
 * shared out.
 */
export function* fitInSteps(fleet: FleetChecks, parts: readonly FitPart[]): InSteps<FleetFigures> {
  const survey = surveyChecks(fleet);
  let design = designShared(fleet, () => [0], survey);
  let spread = spreadBeforeData(design);
  let population = POPULATION_BEFORE_DATA;
  let estimates = new EffectEstimates(new Float64Array(design.keys.length), [], spread.variance);
  let touched: readonly Touched[] = [];

  for (let pass = 0; pass < PASSES; pass++) {
    if (pass > 0) {
      const counts = yield* ask({ step: "lookBack", population, value: estimates.value });
      population = yield* fitNoise(countEvents(population, counts, parts), enoughLives(parts, counts));
      const ageing = new Set(fleet.lots.filter((_, lot) => isAgeing(spread, lot)).map((lot) => lot.fluidLot));
      design = designShared(fleet, (lot) => (ageing.has(lot) ? AGEING_KNEES : [0]), survey);
      spread = spreadFor(design, spread);
    }
    touched = yield* ask({ step: "filter", design, population });
    const groups = groupEffects(parts.map(({ group }, i) => ({ group, effects: touched[i]!.effects })));
    for (let step = 0; step <= STEPS; step++) {
      estimates = yield* solveShared(parts, groups, spread.variance);
      if (step === STEPS) break;
      updateSpread(design, spread, estimates);
      const kinds = noKindCounts();
      const own = noOwnCounts();
      const { value } = estimates;
      for (const counts of yield* ask({ step: "explain", population, value })) {
        addKindCounts(kinds, counts.kinds);
        addOwnCounts(own, counts.own);
      }
      population = updatePopulation(population, kinds, own);
    }
  }
  const units = countUnits(touched, design.keys.length);
  const repeatability = inSampleOrder(parts, yield* ask({ step: "repeatability" }));
  return figuresOf(fleet, design, spread, population, estimates, units, repeatability);
}

function* solveShared(
  parts: readonly FitPart[],
  groups: readonly EffectGroup[],
  variance: Float64Array,
): InSteps<EffectEstimates> {
  const system = new SharedSystem(variance.length, groups);
  const sums = yield* ask({ step: "equate", groups });
  parts.forEach(({ group }, i) => {
    system.addSums(group, sums[i]!);
  });
  return system.solve(variance);
}

/** How many units touch each effect. */
function countUnits(touched: readonly Touched[], effects: number): Int32Array {
  const count = new Int32Array(effects);
  for (const part of touched) {
    part.effects.forEach((effect, i) => {
      count[effect]! += part.units[i]!;
    });
  }
  return count;
}

function inSampleOrder(parts: readonly FitPart[], variances: readonly Float64Array[]): Map<string, number> {
  const ordered: [string, number][] = [];
  parts.forEach(({ units, positions }, i) => {
    units.forEach(({ instrument }, u) => {
      ordered[positions[u]!] = [instrument, variances[i]![u]!];
    });
  });
  return new Map(ordered);
}

/** The lives with enough checks to tell the noises, in the sample's order: their part, and their number in it. */
function enoughLives(
  parts: readonly FitPart[],
  counts: readonly EventCounts[],
): { readonly part: number; readonly life: number }[] {
  const byUnit: { part: number; life: number }[][] = [];
  parts.forEach(({ positions }, part) => {
    let first = 0;
    positions.forEach((position, u) => {
      const enough = counts[part]!.enough[u]!;
      const from = first;
      byUnit[position] = Array.from({ length: enough }, (_, i) => ({ part, life: from + i }));
      first += enough;
    });
  });
  return byUnit.flat();
}

/** How much the figures before any data count for. */
const YEARS_BEFORE = 20;
const READINGS_BEFORE = 300;
const UNITS_BEFORE = 4;

/** The population with its rates of events and typical repeatability as found. */
function countEvents(
  population: Population,
  counts: readonly EventCounts[],
  parts: readonly FitPart[],
): Population {
  const before = POPULATION_BEFORE_DATA;
  const sum = (of: (count: EventCounts) => number) => counts.reduce((total, count) => total + of(count), 0);
  const units = parts.reduce((total, part) => total + part.units.length, 0);
  return {
    ...population,
    stepsPerYear:
      (before.stepsPerYear * YEARS_BEFORE + sum((c) => c.steps)) / (YEARS_BEFORE + sum((c) => c.years)),
    strayShare:
      (before.strayShare * READINGS_BEFORE + sum((c) => c.strays)) /
      (READINGS_BEFORE + sum((c) => c.readings)),
    repeatabilityLogMean:
      (sum((c) => c.logRepeatability) + UNITS_BEFORE * before.repeatabilityLogMean) / (units + UNITS_BEFORE),
  };
}
