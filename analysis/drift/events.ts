import type { LifeChecks } from "./life-checks.ts";
import { type LifeEvents, type LifeFilter, type LifeNoise, NO_EVENTS, STATE } from "./life-filter.ts";
import type { LifeSmoother } from "./life-smoother.ts";
import {
  mixPosteriors,
  type OwnInformation,
  type OwnPrior,
  ownInformation,
  ownPosterior,
} from "./own-posterior.ts";
import type { Population } from "./population.ts";

/** An explanation of a life before its readings are looked at. */
export interface PriorExplanation {
  readonly weight: number;
  readonly prior: OwnPrior;
}

/** A place where something may have happened, with its odds against nothing. */
export interface EventCandidate {
  /** Number of the check before which the error shifted, or of the reading that stands apart. */
  readonly step: number | null;
  readonly stray: number | null;
  readonly odds: number;
}

/** Fewer odds than these are not pursued. */
const WORTH_A_LOOK = 0.02;

/** A stray reading this sure is set aside together with others in one go. */
const SURE = 100;

const MOST_EVENTS = 12;

/** Filters, smooths and combines the explanations: what the search for events looks at. */
export function smoothLife(
  life: LifeChecks,
  noise: LifeNoise,
  events: LifeEvents,
  error: Float64Array,
  explanations: readonly PriorExplanation[],
  filter: LifeFilter,
  smoother: LifeSmoother,
): OwnInformation {
  filter.run(life, noise, events, false, error);
  const information = ownInformation(filter);
  const parts = explanations.map(({ weight, prior }) => {
    const posterior = ownPosterior(information, prior);
    return { posterior, log: Math.log(weight) + posterior.logEvidence };
  });
  const largest = Math.max(...parts.map((p) => p.log));
  const weighed = parts
    .map(({ posterior, log }) => ({ posterior, weight: Math.exp(log - largest) }))
    .filter((p) => p.weight > 1e-3);
  smoother.run(life, filter, mixPosteriors(weighed));
  return information;
}

/**
 * All places worth a look in a smoothed life, likeliest first.
 *
 * @remarks Odds are prior odds (the fleet's rate of steps times the gap, its share of stray readings) times the
 * ratio of likelihoods with the size integrated out under the fleet's distribution of sizes.
 */
export function eventCandidates(
  life: LifeChecks,
  population: Population,
  smoother: LifeSmoother,
  events: LifeEvents,
): EventCandidate[] {
  const found: EventCandidate[] = [];
  for (let k = 0; k < life.checks; k++) {
    if (k === 0 && !life.startKnown) continue;
    if (events.stepBefore.includes(k)) continue;
    const odds = stepOdds(life, population, smoother, k);
    if (odds > WORTH_A_LOOK) found.push({ step: k, stray: null, odds });
  }
  for (let r = 0; r < life.error.length; r++) {
    const odds = strayOdds(population, smoother, r);
    if (odds > WORTH_A_LOOK) found.push({ step: null, stray: r, odds });
  }
  return found.sort((a, b) => b.odds - a.odds);
}

/** Odds of a step in the gap before check k, against none. */
export function stepOdds(
  life: LifeChecks,
  population: Population,
  smoother: LifeSmoother,
  k: number,
): number {
  const gap = life.year[k]! - (k > 0 ? life.year[k - 1]! : 0);
  const s = k * STATE;
  const n = k * (STATE + 1);
  const rz = smoother.checkScore[s]!;
  const rs = smoother.checkScore[s + 1]!;
  const nzz = smoother.checkInformation[n]! + 1 / population.stepZero;
  const nss = smoother.checkInformation[n + 1]! + 1 / population.stepSpan;
  const nzs = smoother.checkInformation[n + STATE]!;
  const determinant = nzz * nss - nzs * nzs;
  if (!(determinant > 0)) return 0;
  const gain = (rz * rz * nss - 2 * rz * rs * nzs + rs * rs * nzz) / determinant;
  const shrink = determinant * population.stepZero * population.stepSpan;
  return population.stepsPerYear * gap * Math.exp(Math.min(600, 0.5 * (gain - Math.log(shrink))));
}

function strayOdds(population: Population, smoother: LifeSmoother, r: number): number {
  const information = smoother.readingInformation[r]!;
  const grown = 1 + population.strayVariance * information;
  const gain = (smoother.readingScore[r]! ** 2 * population.strayVariance) / grown;
  return (
    (population.strayShare / (1 - population.strayShare)) *
    Math.exp(Math.min(600, 0.5 * (gain - Math.log(grown))))
  );
}

/**
 * The likeliest events of a life, found one after the other; filter and smoother are left with them in force.
 */
export function findEvents(
  life: LifeChecks,
  noise: LifeNoise,
  population: Population,
  error: Float64Array,
  explanations: readonly PriorExplanation[],
  filter: LifeFilter,
  smoother: LifeSmoother,
): { readonly events: LifeEvents; readonly information: OwnInformation } {
  let events = NO_EVENTS;
  let information = smoothLife(life, noise, events, error, explanations, filter, smoother);
  for (let round = 0; round < MOST_EVENTS; round++) {
    const candidates = eventCandidates(life, population, smoother, events).filter((c) => c.odds > 1);
    if (candidates.length === 0) break;
    events = withEvents(life, events, candidates);
    information = smoothLife(life, noise, events, error, explanations, filter, smoother);
  }
  return { events, information };
}

export function withEvent(events: LifeEvents, candidate: EventCandidate): LifeEvents {
  return {
    stepBefore: candidate.step === null ? events.stepBefore : insert(events.stepBefore, candidate.step),
    dropped: candidate.stray === null ? events.dropped : insert(events.dropped, candidate.stray),
  };
}

/** The likeliest event, and with it sure stray readings of other checks. */
function withEvents(life: LifeChecks, events: LifeEvents, candidates: readonly EventCandidate[]): LifeEvents {
  let result = withEvent(events, candidates[0]!);
  if (candidates[0]!.stray === null) return result;
  const taken = new Set([checkOf(life, candidates[0]!.stray)]);
  for (const candidate of candidates.slice(1)) {
    if (candidate.stray === null || candidate.odds < SURE) break;
    const check = checkOf(life, candidate.stray);
    if (taken.has(check)) continue;
    taken.add(check);
    result = withEvent(result, candidate);
  }
  return result;
}

function checkOf(life: LifeChecks, reading: number): number {
  let low = 0;
  let high = life.checks - 1;
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (life.firstReading[middle]! <= reading) low = middle;
    else high = middle - 1;
  }
  return low;
}

function insert(sorted: readonly number[], value: number): number[] {
  return [...sorted, value].sort((a, b) => a - b);
}
