import { type Expectation, type WeighedExplanation, weighExplanations } from "./explained-life.ts";
import type { LifeChecks } from "./life-checks.ts";
import { type LifeEvents, type LifeFilter, type LifeNoise, NO_EVENTS } from "./life-filter.ts";
import type { LifeSmoother } from "./life-smoother.ts";
import { ownInformation } from "./own-posterior.ts";
import type { Population } from "./population.ts";

/** A place where something may have happened, with its odds against nothing. */
export interface EventCandidate {
  /** Number of the check before which the error shifted, or of the reading that stands apart. */
  readonly step: number | null;
  readonly stray: number | null;
  readonly odds: number;
}

/** The likeliest events of a life, and what else is worth a look with them in force. */
export interface FoundEvents {
  readonly events: LifeEvents;
  readonly candidates: readonly EventCandidate[];
}

/** Fewer odds than these are not pursued. */
const WORTH_A_LOOK = 0.02;

/** A stray reading this sure is set aside together with others in one go. */
const SURE = 100;

const MOST_EVENTS = 12;

/** Explanations of a life that weigh less do not take part in the search. */
const NEGLIGIBLE = 0.02;

/** Finds what happened in a life: filter, smoother and the fleet's figures at hand. */
export class EventSearch {
  private readonly population: Population;
  private readonly filter: LifeFilter;
  private readonly smoother: LifeSmoother;
  private stepOdds = new Float64Array(0);
  private strayOdds = new Float64Array(0);

  constructor(population: Population, filter: LifeFilter, smoother: LifeSmoother) {
    this.population = population;
    this.filter = filter;
    this.smoother = smoother;
  }

  /** Leaves filter and smoother with some events and the likeliest explanation. */
  smooth(
    life: LifeChecks,
    noise: LifeNoise,
    events: LifeEvents,
    error: Float64Array,
    expectation: Expectation,
  ): void {
    this.smoother.given(this.explanations(life, noise, events, error, expectation)[0]!.posterior);
  }

  /** Goes over a life there and back; the explanations that take part in the search, likeliest first. */
  private explanations(
    life: LifeChecks,
    noise: LifeNoise,
    events: LifeEvents,
    error: Float64Array,
    expectation: Expectation,
  ): readonly WeighedExplanation[] {
    const { filter, smoother } = this;
    filter.run(life, noise, events, error);
    smoother.run(life, filter);
    return weighExplanations(ownInformation(filter), expectation, NEGLIGIBLE).parts;
  }

  /**
   * All places worth a look, likeliest first, with some events in force already.
   *
   * @remarks
   * Odds are prior odds (the fleet's rate of steps times the gap, its share of stray readings) times the ratio of
   * likelihoods, the size integrated out under the fleet's distribution of sizes, averaged over the explanations.
   * Filter and smoother are left with these events and the likeliest explanation.
   */
  candidates(
    life: LifeChecks,
    noise: LifeNoise,
    events: LifeEvents,
    error: Float64Array,
    expectation: Expectation,
  ): EventCandidate[] {
    const parts = this.explanations(life, noise, events, error, expectation);
    this.clearOdds(life);
    // The likeliest comes last, so that the smoother is left with it.
    for (const { posterior, weight } of [...parts].reverse()) {
      this.smoother.given(posterior);
      this.addOdds(life, weight);
    }
    return this.worthALook(life, events);
  }

  /**
   * The likeliest events of a life, found one after the other, and what else may have happened beside them.
   * Filter and smoother are left with the events in force.
   */
  find(life: LifeChecks, noise: LifeNoise, error: Float64Array, expectation: Expectation): FoundEvents {
    let events = NO_EVENTS;
    let candidates = this.candidates(life, noise, events, error, expectation);
    for (let round = 0; round < MOST_EVENTS; round++) {
      const likely = candidates.filter((c) => c.odds > 1);
      if (likely.length === 0) break;
      events = withSure(life, events, likely);
      candidates = this.candidates(life, noise, events, error, expectation);
    }
    return { events, candidates };
  }

  private clearOdds(life: LifeChecks): void {
    if (this.stepOdds.length < life.checks) this.stepOdds = new Float64Array(life.checks);
    if (this.strayOdds.length < life.error.length) this.strayOdds = new Float64Array(life.error.length);
    this.stepOdds.fill(0, 0, life.checks);
    this.strayOdds.fill(0, 0, life.error.length);
  }

  private addOdds(life: LifeChecks, weight: number): void {
    const { population, smoother } = this;
    for (let k = life.startKnown ? 0 : 1; k < life.checks; k++) {
      this.stepOdds[k]! += weight * stepOdds(life, population, smoother, k);
    }
    for (let r = 0; r < life.error.length; r++)
      this.strayOdds[r]! += weight * strayOdds(population, smoother, r);
  }

  private worthALook(life: LifeChecks, events: LifeEvents): EventCandidate[] {
    const found: EventCandidate[] = [];
    for (let k = 0; k < life.checks; k++) {
      const odds = this.stepOdds[k]!;
      if (odds > WORTH_A_LOOK && !events.stepBefore.includes(k)) found.push({ step: k, stray: null, odds });
    }
    for (let r = 0; r < life.error.length; r++) {
      const odds = this.strayOdds[r]!;
      if (odds > WORTH_A_LOOK && !events.dropped.includes(r)) found.push({ step: null, stray: r, odds });
    }
    return found.sort((a, b) => b.odds - a.odds);
  }
}

/** Odds of a step in the gap before check k, against none, under the explanation that the smoother holds. */
function stepOdds(life: LifeChecks, population: Population, smoother: LifeSmoother, k: number): number {
  const gap = life.year[k]! - (k > 0 ? life.year[k - 1]! : 0);
  const rz = smoother.shiftScore[2 * k]!;
  const rs = smoother.shiftScore[2 * k + 1]!;
  const nzz = smoother.shiftInformation[3 * k]! + 1 / population.stepZero;
  const nss = smoother.shiftInformation[3 * k + 1]! + 1 / population.stepSpan;
  const nzs = smoother.shiftInformation[3 * k + 2]!;
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
  // Limited as a whole: of readings that are stray beyond any doubt the earliest counts as the likeliest.
  return (
    (population.strayShare / (1 - population.strayShare)) *
    Math.exp(Math.min(600, 0.5 * (gain - Math.log(grown))))
  );
}

/** The events with one more among them. */
export function withEvent(events: LifeEvents, candidate: EventCandidate): LifeEvents {
  return {
    stepBefore: candidate.step === null ? events.stepBefore : insert(events.stepBefore, candidate.step),
    dropped: candidate.stray === null ? events.dropped : insert(events.dropped, candidate.stray),
  };
}

/** The likeliest event; where that is a stray reading, sure ones of other checks with it. */
function withSure(life: LifeChecks, events: LifeEvents, candidates: readonly EventCandidate[]): LifeEvents {
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
