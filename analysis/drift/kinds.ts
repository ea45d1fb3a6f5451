import { PARAMETERS } from "./components.ts";
import type { OwnPosterior, OwnPrior } from "./own-posterior.ts";
import { KIND_PARAMETER, KIND_SIGNS, KINDS, type Population } from "./population.ts";

const NODE_SPACING = 0.6;
const NODES_EACH_SIDE = 4;
const NODES = 2 * NODES_EACH_SIDE + 1;
const NODE_WEIGHT = nodeWeights();
const PER_KIND = 2 * NODES;

/** Below this share of the prior's precision the readings carry nothing. */
const NO_INFORMATION = 1e-9;

/** What one life says about the one number that each kind moves, all others as in a sound life. */
export interface RateEvidence {
  /** Most likely value by this life's readings alone, per kind. */
  readonly estimate: Float64Array;
  /** 1 / variance of that; 0 where the life says nothing. */
  readonly precision: Float64Array;
  /**
   * How much likelier the readings are if the life drifts with about a node's rate than if it is sound;
   * by kind, sign, node. NaN where a kind has no such sign.
   */
  readonly ratio: Float64Array;
  readonly prior: OwnPrior;
}

/** One explanation of a life: it is sound, or it drifts in one kind and direction. */
export interface Explanation {
  /** Index into {@link KINDS}; -1: sound. */
  readonly kind: number;
  readonly weight: number;
  /** Belief about the kind's number, the unit's other lives and the fleet considered; 0 for sound. */
  readonly mean: number;
  readonly variance: number;
}

/**
 * The evidence of one life's readings about its rate, kind by kind.
 *
 * @param posterior As if the life were sound, under `prior`.
 */
export function rateEvidence(population: Population, posterior: OwnPosterior, prior: OwnPrior): RateEvidence {
  const estimate = new Float64Array(KINDS.length);
  const precision = new Float64Array(KINDS.length);
  for (let k = 0; k < KINDS.length; k++) {
    const p = KIND_PARAMETER[k]!;
    const before = 1 / prior.variance[p]!;
    const after = 1 / posterior.covariance[p * PARAMETERS + p]!;
    // The prior's part is taken out again, so that only the readings speak.
    if (after - before < NO_INFORMATION * before) continue;
    precision[k] = after - before;
    estimate[k] = (posterior.mean[p]! * after - prior.mean[p]! * before) / precision[k]!;
  }
  return { estimate, precision, ratio: rateRatios(population, estimate, precision, prior), prior };
}

/** Evidence of a life without readings. */
export function noEvidence(population: Population, prior: OwnPrior): RateEvidence {
  const estimate = new Float64Array(KINDS.length);
  const precision = new Float64Array(KINDS.length);
  return { estimate, precision, ratio: rateRatios(population, estimate, precision, prior), prior };
}

/** The population whose rates were asked for last, with them: many lives are asked about in turn. */
let last: { readonly population: Population; readonly rates: Float64Array } | null = null;

/** Typical rates of units by kind, sign, node; NaN where a kind has no such sign. */
function ratesOf(population: Population): Float64Array {
  if (last?.population === population) return last.rates;
  const rates = new Float64Array(KINDS.length * PER_KIND).fill(Number.NaN);
  KIND_SIGNS.forEach((signs, kind) => {
    signs.forEach((sign, s) => {
      for (let j = 0; j < NODES; j++) {
        const away = (j - NODES_EACH_SIDE) * NODE_SPACING;
        rates[kind * PER_KIND + s * NODES + j] =
          sign * population.rateMedian[kind]! * Math.exp(population.rateLogSd[kind]! * away);
      }
    });
  });
  last = { population, rates };
  return rates;
}

function rateRatios(
  population: Population,
  estimate: Float64Array,
  precision: Float64Array,
  prior: OwnPrior,
): Float64Array {
  const ratio = new Float64Array(KINDS.length * PER_KIND).fill(Number.NaN);
  const rates = ratesOf(population);
  for (let kind = 0; kind < KINDS.length; kind++) {
    const p = KIND_PARAMETER[kind]!;
    for (let s = 0; s < KIND_SIGNS[kind]!.length; s++) {
      for (let j = 0; j < NODES; j++) {
        const at = kind * PER_KIND + s * NODES + j;
        if (precision[kind] === 0) {
          ratio[at] = 1;
          continue;
        }
        const rate = rates[at]!;
        const own = 1 / precision[kind]!;
        const spread = own + (population.rateLifeSpread * rate) ** 2;
        const soundSpread = own + prior.variance[p]!;
        const away = estimate[kind]! - rate;
        const soundAway = estimate[kind]! - prior.mean[p]!;
        const log =
          0.5 *
          (Math.log(soundSpread / spread) + (soundAway * soundAway) / soundSpread - (away * away) / spread);
        ratio[at] = Math.exp(Math.min(600, log));
      }
    }
  }
  return ratio;
}

/** A unit's belief over kinds, and over the size of its rate within each. */
export interface KindBelief {
  /** Probability of each kind; what is left is sound. */
  readonly share: Float64Array;
  /** Probability of each node given the kind; by kind, sign, node. */
  readonly node: Float64Array;
}

/**
 * Weighs the kinds of a unit by all its lives.
 *
 * @remarks
 * A unit of a kind has a typical rate and direction of its own; each of its lives either drifts at about that rate
 * or, if the adjustment cured it, is sound. The typical rate is integrated out over nodes of its logarithm.
 */
export function weighKinds(population: Population, lives: readonly RateEvidence[]): KindBelief {
  const share = new Float64Array(KINDS.length);
  const node = new Float64Array(KINDS.length * PER_KIND).fill(Number.NEGATIVE_INFINITY);
  const active = population.activeShare;
  let largest = 0;
  for (let kind = 0; kind < KINDS.length; kind++) {
    const signs = KIND_SIGNS[kind]!.length;
    for (let s = 0; s < signs; s++) {
      for (let j = 0; j < NODES; j++) {
        const at = kind * PER_KIND + s * NODES + j;
        let log = Math.log(NODE_WEIGHT[j]! / signs);
        for (const life of lives) log += Math.log(1 - active + active * life.ratio[at]!);
        node[at] = log;
        if (log > largest) largest = log;
      }
    }
  }
  let total = (1 - population.kindShare.reduce((a, b) => a + b, 0)) * Math.exp(-largest);
  for (let kind = 0; kind < KINDS.length; kind++) {
    let sum = 0;
    for (let i = kind * PER_KIND; i < (kind + 1) * PER_KIND; i++) {
      node[i] = Math.exp(node[i]! - largest);
      sum += node[i]!;
    }
    if (sum > 0) for (let i = kind * PER_KIND; i < (kind + 1) * PER_KIND; i++) node[i]! /= sum;
    share[kind] = population.kindShare[kind]! * sum;
    total += share[kind]!;
  }
  for (let kind = 0; kind < KINDS.length; kind++) share[kind]! /= total;
  return { share, node };
}

/**
 * The explanations of one life, weights adding to 1.
 *
 * @param belief By all lives of the unit, this one included.
 */
export function explainLife(population: Population, belief: KindBelief, life: RateEvidence): Explanation[] {
  const explanations: Explanation[] = [];
  const rates = ratesOf(population);
  const active = population.activeShare;
  let drifting = 0;
  for (let kind = 0; kind < KINDS.length; kind++) {
    if (!(belief.share[kind]! > 1e-12)) continue;
    for (let s = 0; s < KIND_SIGNS[kind]!.length; s++) {
      let weight = 0;
      let mean = 0;
      let square = 0;
      for (let j = 0; j < NODES; j++) {
        const at = kind * PER_KIND + s * NODES + j;
        const ratio = active * life.ratio[at]!;
        const w = (belief.node[at]! * ratio) / (1 - active + ratio);
        if (!(w > 1e-12)) continue;
        // The life's number given the node and its readings.
        const rate = rates[at]!;
        const nodeVariance = (population.rateLifeSpread * rate) ** 2;
        const precision = 1 / nodeVariance + life.precision[kind]!;
        const m = (rate / nodeVariance + life.precision[kind]! * life.estimate[kind]!) / precision;
        weight += w;
        mean += w * m;
        square += w * (m * m + 1 / precision);
      }
      const total = weight * belief.share[kind]!;
      if (!(total > 1e-12)) continue;
      drifting += total;
      mean /= weight;
      explanations.push({ kind, weight: total, ...asPrior(life, kind, mean, square / weight - mean * mean) });
    }
  }
  explanations.push({ kind: -1, weight: Math.max(1e-12, 1 - drifting), mean: 0, variance: 0 });
  return explanations;
}

/** The prior that gives this mean and variance once the life's readings are combined with it. */
function asPrior(life: RateEvidence, kind: number, mean: number, variance: number) {
  const own = life.precision[kind]!;
  const sound = life.prior.variance[KIND_PARAMETER[kind]!]!;
  // Two far-apart nodes may leave more spread than the readings alone: then next to nothing is believed before.
  const precision = Math.max(1 / variance - own, 1e-3 / (variance + sound));
  return { mean: mean + (own / precision) * (mean - life.estimate[kind]!), variance: 1 / precision };
}

/** What is believed of a life of a unit before its readings, by the unit's other lives. */
export function expectLife(
  population: Population,
  others: readonly RateEvidence[],
  prior: OwnPrior,
): Explanation[] {
  return explainLife(population, weighKinds(population, others), noEvidence(population, prior));
}

/** Sums over units that tell how the fleet's kinds are to be re-estimated. */
export interface KindCounts {
  units: number;
  readonly kind: Float64Array;
  readonly logRate: Float64Array;
  readonly logRateSquare: Float64Array;
  lives: number;
  activeLives: number;
}

/** Counts of no unit yet. */
export function noKindCounts(): KindCounts {
  return {
    units: 0,
    kind: new Float64Array(KINDS.length),
    logRate: new Float64Array(KINDS.length),
    logRateSquare: new Float64Array(KINDS.length),
    lives: 0,
    activeLives: 0,
  };
}

/** Adds the counts of other units. */
export function addKindCounts(counts: KindCounts, more: KindCounts): void {
  counts.units += more.units;
  counts.lives += more.lives;
  counts.activeLives += more.activeLives;
  for (let kind = 0; kind < KINDS.length; kind++) {
    counts.kind[kind]! += more.kind[kind]!;
    counts.logRate[kind]! += more.logRate[kind]!;
    counts.logRateSquare[kind]! += more.logRateSquare[kind]!;
  }
}

/** Adds one unit to the counts. */
export function countKinds(
  counts: KindCounts,
  population: Population,
  belief: KindBelief,
  lives: readonly RateEvidence[],
): void {
  counts.units++;
  const rates = ratesOf(population);
  const active = population.activeShare;
  for (let kind = 0; kind < KINDS.length; kind++) {
    const share = belief.share[kind]!;
    counts.kind[kind]! += share;
    for (let s = 0; s < KIND_SIGNS[kind]!.length; s++) {
      for (let j = 0; j < NODES; j++) {
        const at = kind * PER_KIND + s * NODES + j;
        const w = share * belief.node[at]!;
        if (!(w > 1e-6)) continue;
        const log = Math.log(Math.abs(rates[at]!));
        counts.logRate[kind]! += w * log;
        counts.logRateSquare[kind]! += w * log * log;
        for (const life of lives) {
          const ratio = active * life.ratio[at]!;
          counts.lives += w;
          counts.activeLives += (w * ratio) / (1 - active + ratio);
        }
      }
    }
  }
}

function nodeWeights(): Float64Array {
  const weights = Float64Array.from({ length: NODES }, (_, j) =>
    Math.exp(-0.5 * ((j - NODES_EACH_SIDE) * NODE_SPACING) ** 2),
  );
  const sum = weights.reduce((a, b) => a + b, 0);
  return weights.map((w) => w / sum);
}
