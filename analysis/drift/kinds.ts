import { PARAMETERS } from "./components.ts";
import type { OwnPosterior } from "./life-smoother.ts";
import type { OwnPrior } from "./own-posterior.ts";
import { KIND_PARAMETER, KIND_SIGNS, KINDS, type Population } from "./population.ts";

/** What one life says about the one number that each kind moves, all others as in a sound life. */
export interface RateEvidence {
  /** Most likely value by this life's readings alone, per kind. */
  readonly estimate: Float64Array;
  /** 1 / variance of that; 0 where the life says nothing. */
  readonly precision: Float64Array;
  readonly prior: OwnPrior;
}

/** One explanation of a life: it is sound, or it drifts in one kind and direction. */
export interface Explanation {
  /** Index into {@link KINDS}; -1: sound. */
  readonly kind: number;
  readonly sign: number;
  readonly weight: number;
  /** Belief about the kind's number, the unit's other lives and the fleet considered. */
  readonly mean: number;
  readonly variance: number;
}

const NODE_SPACING = 0.6;
const NODES_EACH_SIDE = 4;
const NODES = 2 * NODES_EACH_SIDE + 1;
const NODE_WEIGHT = nodeWeights();

/** Below this an estimate carries nothing. */
const NO_PRECISION = 1e-9;

export function rateEvidence(posterior: OwnPosterior, prior: OwnPrior): RateEvidence {
  const estimate = new Float64Array(KINDS.length);
  const precision = new Float64Array(KINDS.length);
  for (let k = 0; k < KINDS.length; k++) {
    const p = KIND_PARAMETER[k]!;
    const variance = posterior.covariance[p * PARAMETERS + p]!;
    // The prior's part is taken out again, so that only the readings speak.
    const left = 1 / variance - 1 / prior.variance[p]!;
    if (left < NO_PRECISION) continue;
    precision[k] = left;
    estimate[k] = (posterior.mean[p]! / variance - prior.mean[p]! / prior.variance[p]!) / left;
  }
  return { estimate, precision, prior };
}

/** A unit's belief over kinds, and over the size of its rate within each. */
export interface KindBelief {
  /** Probability of each kind; what is left is sound. */
  readonly share: Float64Array;
  /** Probability of each node given the kind; by kind, sign, node. */
  readonly node: Float64Array;
  /** Log of all lives' evidence against "every life is sound". */
  readonly logEvidence: number;
}

const PER_KIND = 2 * NODES;

/** Typical rate at a node. */
function rateAt(population: Population, kind: number, signIndex: number, node: number): number {
  const away = (node - NODES_EACH_SIDE) * NODE_SPACING;
  return (
    KIND_SIGNS[kind]![signIndex]! *
    population.rateMedian[kind]! *
    Math.exp(population.rateLogSd[kind]! * away)
  );
}

/**
 * How much likelier a life's readings are if it drifts with about this rate than if it is sound.
 */
function rateRatio(population: Population, life: RateEvidence, kind: number, rate: number): number {
  const precision = life.precision[kind]!;
  if (precision === 0) return 1;
  const p = KIND_PARAMETER[kind]!;
  const own = 1 / precision;
  const spread = own + (population.rateLifeSpread * rate) ** 2;
  const soundSpread = own + life.prior.variance[p]!;
  const away = life.estimate[kind]! - rate;
  const soundAway = life.estimate[kind]! - life.prior.mean[p]!;
  return Math.exp(
    Math.min(
      600,
      0.5 * (Math.log(soundSpread / spread) + (soundAway * soundAway) / soundSpread - (away * away) / spread),
    ),
  );
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
    for (let s = 0; s < KIND_SIGNS[kind]!.length; s++) {
      for (let j = 0; j < NODES; j++) {
        const rate = rateAt(population, kind, s, j);
        let log = Math.log(NODE_WEIGHT[j]! / KIND_SIGNS[kind]!.length);
        for (const life of lives) {
          log += Math.log(1 - active + active * rateRatio(population, life, kind, rate));
        }
        node[kind * PER_KIND + s * NODES + j] = log;
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
  return { share, node, logEvidence: Math.log(total) + largest };
}

/**
 * The explanations of one life, weights adding to 1.
 *
 * @param belief By all lives of the unit, this one included.
 */
export function explainLife(population: Population, belief: KindBelief, life: RateEvidence): Explanation[] {
  const explanations: Explanation[] = [];
  const active = population.activeShare;
  let drifting = 0;
  for (let kind = 0; kind < KINDS.length; kind++) {
    const p = KIND_PARAMETER[kind]!;
    for (let s = 0; s < KIND_SIGNS[kind]!.length; s++) {
      let weight = 0;
      let mean = 0;
      let square = 0;
      for (let j = 0; j < NODES; j++) {
        const rate = rateAt(population, kind, s, j);
        const ratio = active * rateRatio(population, life, kind, rate);
        const w = (belief.node[kind * PER_KIND + s * NODES + j]! * ratio) / (1 - active + ratio);
        if (!(w > 0)) continue;
        // The life's number given the node and its readings.
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
      const variance = square / weight - mean * mean;
      // Stated as a prior that gives this mean and variance once the readings are combined with it.
      const precision = Math.max(
        1 / variance - life.precision[kind]!,
        1e-3 / (variance + life.prior.variance[p]!),
      );
      const pull = mean * (precision + life.precision[kind]!) - life.precision[kind]! * life.estimate[kind]!;
      explanations.push({
        kind,
        sign: KIND_SIGNS[kind]![s]!,
        weight: total,
        mean: pull / precision,
        variance: 1 / precision,
      });
    }
  }
  explanations.push({ kind: -1, sign: 0, weight: Math.max(0, 1 - drifting), mean: 0, variance: 0 });
  return explanations;
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

/** Adds one unit to the counts. */
export function countKinds(
  counts: KindCounts,
  population: Population,
  belief: KindBelief,
  lives: readonly RateEvidence[],
): void {
  counts.units++;
  const active = population.activeShare;
  for (let kind = 0; kind < KINDS.length; kind++) {
    const share = belief.share[kind]!;
    counts.kind[kind]! += share;
    for (let s = 0; s < KIND_SIGNS[kind]!.length; s++) {
      for (let j = 0; j < NODES; j++) {
        const w = share * belief.node[kind * PER_KIND + s * NODES + j]!;
        if (!(w > 1e-9)) continue;
        const rate = rateAt(population, kind, s, j);
        const log = Math.log(Math.abs(rate));
        counts.logRate[kind]! += w * log;
        counts.logRateSquare[kind]! += w * log * log;
        for (const life of lives) {
          const ratio = active * rateRatio(population, life, kind, rate);
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
