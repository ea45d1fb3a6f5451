import { COMPONENT, COMPONENTS, PARAMETERS, RATE } from "./components.ts";
import type { KindCounts } from "./kinds.ts";
import type { OwnPosterior } from "./own-posterior.ts";
import { KINDS, POPULATION_BEFORE_DATA, type Population } from "./population.ts";

/** Sums over sound lives of their nine numbers, for re-estimating the population. */
export interface OwnCounts {
  readonly known: Sums;
  readonly midway: Sums;
}

interface Sums {
  weight: number;
  readonly sum: Float64Array;
  readonly square: Float64Array;
}

/** How many units or lives the figures before any data count for. */
const UNITS_BEFORE = 8;
const LIVES_BEFORE = 12;

/** Only these have a mean of their own in a sound fleet; the others are as often positive as negative. */
const WITH_MEAN = [COMPONENT.friction, RATE + COMPONENT.friction];

/** A sound unit's span does not accelerate: nothing is learnt about that number. */
const LEARNT = 2 * COMPONENTS;

/** Counts of no life yet. */
export function noOwnCounts(): OwnCounts {
  const none = () => ({ weight: 0, sum: new Float64Array(PARAMETERS), square: new Float64Array(PARAMETERS) });
  return { known: none(), midway: none() };
}

/** Adds the counts of other lives. */
export function addOwnCounts(counts: OwnCounts, more: OwnCounts): void {
  for (const from of ["known", "midway"] as const) {
    counts[from].weight += more[from].weight;
    for (let p = 0; p < PARAMETERS; p++) {
      counts[from].sum[p]! += more[from].sum[p]!;
      counts[from].square[p]! += more[from].square[p]!;
    }
  }
}

/** Adds one life, with the probability that it is sound. */
export function countOwn(
  counts: OwnCounts,
  posterior: OwnPosterior,
  sound: number,
  startKnown: boolean,
): void {
  const into = startKnown ? counts.known : counts.midway;
  into.weight += sound;
  for (let p = 0; p < PARAMETERS; p++) {
    const mean = posterior.mean[p]!;
    into.sum[p]! += sound * mean;
    into.square[p]! += sound * (mean * mean + posterior.covariance[p * PARAMETERS + p]!);
  }
}

/** One step of expectation-maximisation for everything but the noises. */
export function updatePopulation(population: Population, kinds: KindCounts, own: OwnCounts): Population {
  const before = POPULATION_BEFORE_DATA;
  const soundMean = [...population.soundMean];
  const soundVariance = [...population.soundVariance];
  for (let p = 0; p < LEARNT; p++) {
    // Rates are alike in lives whose start is known and in those that began before the records.
    const sums = p < RATE ? [own.known] : [own.known, own.midway];
    const { mean, variance } = moments(sums, p, before.soundMean[p]!, before.soundVariance[p]!);
    soundMean[p] = mean;
    soundVariance[p] = variance;
  }
  const midwayMean = [...population.midwayMean];
  const midwayVariance = [...population.midwayVariance];
  for (let p = 0; p < COMPONENTS; p++) {
    const { mean, variance } = moments([own.midway], p, before.midwayMean[p]!, before.midwayVariance[p]!);
    midwayMean[p] = mean;
    midwayVariance[p] = variance;
  }
  return {
    ...population,
    kindShare: KINDS.map(
      (_, k) => (kinds.kind[k]! + UNITS_BEFORE * before.kindShare[k]!) / (kinds.units + UNITS_BEFORE),
    ),
    rateMedian: KINDS.map((_, k) => Math.exp(logRate(kinds, k).mean)),
    rateLogSd: KINDS.map((_, k) => logRate(kinds, k).sd),
    activeShare: (kinds.activeLives + UNITS_BEFORE * before.activeShare) / (kinds.lives + UNITS_BEFORE),
    soundMean,
    soundVariance,
    midwayMean,
    midwayVariance,
  };
}

function moments(sums: readonly Sums[], p: number, meanBefore: number, varianceBefore: number) {
  let weight = LIVES_BEFORE;
  let sum = LIVES_BEFORE * meanBefore;
  let square = LIVES_BEFORE * (varianceBefore + meanBefore ** 2);
  for (const s of sums) {
    weight += s.weight;
    sum += s.sum[p]!;
    square += s.square[p]!;
  }
  const mean = WITH_MEAN.includes(p) ? sum / weight : 0;
  return { mean, variance: square / weight - 2 * mean * (sum / weight) + mean * mean };
}

/** Centre and spread of the logarithm of a kind's rates, as if a few units of the prior's kind had been seen too. */
function logRate(kinds: KindCounts, k: number) {
  const before = POPULATION_BEFORE_DATA;
  const weight = kinds.kind[k]! + UNITS_BEFORE / 2;
  const centre = Math.log(before.rateMedian[k]!);
  const mean = (kinds.logRate[k]! + (UNITS_BEFORE / 2) * centre) / weight;
  const square = kinds.logRateSquare[k]! + (UNITS_BEFORE / 2) * (centre ** 2 + before.rateLogSd[k]! ** 2);
  return { mean, sd: Math.sqrt(Math.max(0.04, square / weight - mean * mean)) };
}
