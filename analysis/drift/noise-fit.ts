import { type Expectation, weighExplanations } from "./explained-life.ts";
import { ask, type InSteps } from "./fit-steps.ts";
import type { LifeChecks } from "./life-checks.ts";
import type { LifeEvents, LifeFilter } from "./life-filter.ts";
import { ownInformation } from "./own-posterior.ts";
import { noiseOf, POPULATION_BEFORE_DATA, type Population } from "./population.ts";

/** A life as the noises are fitted to it: shared causes taken away, events found. */
export interface LifeForNoise {
  readonly checks: LifeChecks;
  readonly error: Float64Array;
  readonly events: LifeEvents;
  readonly expectation: Expectation;
  readonly repeatability: number;
}

/** So many lives tell the fleet's wander and check-to-check scatter to some ten per cent. */
const ENOUGH_LIVES = 200;
export const ENOUGH_CHECKS = 4;

/** Step on the logarithm of a variance over which its log-likelihood is taken for a parabola. */
const STEP = 0.7;
const LARGEST_MOVE = 1.5;

/** The figures before any data: standard deviation of a variance's logarithm. */
const LOG_SD_BEFORE = 0.7;

/** The variances that all units of a fleet have in common, as one list. */
const VARIANCES: readonly {
  readonly get: (population: Population) => number;
  readonly set: (population: Population, variance: number) => Population;
}[] = [
  ...[0, 1, 2, 3].map((c) => ({
    get: (p: Population) => p.wander[c]!,
    set: (p: Population, v: number) => ({ ...p, wander: p.wander.map((w, i) => (i === c ? v : w)) }),
  })),
  { get: (p) => p.proportional, set: (p, v) => ({ ...p, proportional: v }) },
  { get: (p) => p.temperature, set: (p, v) => ({ ...p, temperature: v }) },
];

/**
 * The fleet's wander, its check-to-check scatter and that of its thermometers, moved towards the largest likelihood.
 *
 * @remarks One variance after the other; for each the log-likelihood of a sample of lives, all explanations
 * considered, is taken at three values and the top of the parabola through them is where it goes.
 *
 * @param lives Where the lives with enough checks lie, in an order of their own.
 */
export function* fitNoise(
  population: Population,
  lives: readonly { readonly part: number; readonly life: number }[],
): InSteps<Population> {
  const sample = evenly(lives, ENOUGH_LIVES);
  let current = population;
  let [middle] = yield* logPosteriors([current], sample);
  for (const { get, set } of VARIANCES) {
    const at = (step: number) => set(current, get(current) * Math.exp(step));
    const [lower, upper] = yield* logPosteriors([at(-STEP), at(STEP)], sample);
    const moved = at(topOfParabola(lower!, middle!, upper!));
    const [there] = yield* logPosteriors([moved], sample);
    if (there! <= middle!) continue;
    current = moved;
    middle = there;
  }
  return current;
}

function topOfParabola(lower: number, middle: number, upper: number): number {
  const curvature = lower - 2 * middle + upper;
  const slope = (upper - lower) / 2;
  const step = curvature < 0 ? (-slope / curvature) * STEP : Math.sign(slope) * LARGEST_MOVE;
  return Math.max(-LARGEST_MOVE, Math.min(LARGEST_MOVE, step));
}

/** Log-posteriors of populations by the sample's lives, which are added up in the sample's order. */
function* logPosteriors(
  populations: readonly Population[],
  sample: readonly { readonly part: number; readonly life: number }[],
): InSteps<number[]> {
  const parts = Math.max(-1, ...sample.map(({ part }) => part)) + 1;
  const lives = Array.from({ length: parts }, (): number[] => []);
  const places = sample.map(({ part, life }) => ({ part, place: lives[part]!.push(life) - 1 }));
  const logs = yield* ask({ step: "weigh", populations, lives });
  return populations.map((population, p) => {
    let log = 0;
    for (const { get } of VARIANCES) {
      log -= 0.5 * (Math.log(get(population) / get(POPULATION_BEFORE_DATA)) / LOG_SD_BEFORE) ** 2;
    }
    for (const { part, place } of places) log += logs[part]![p * lives[part]!.length + place]!;
    return log;
  });
}

/** Log-likelihood of a life under a population, all its explanations considered. */
export function logOfLife(
  population: Population,
  { checks, error, events, expectation, repeatability }: LifeForNoise,
  filter: LifeFilter,
): number {
  filter.run(checks, noiseOf(population, repeatability), events, error);
  return weighExplanations(ownInformation(filter), expectation, 1).logEvidence;
}

/** At most `count` of a list, spread over it. */
function evenly<T>(list: readonly T[], count: number): readonly T[] {
  if (list.length <= count) return list;
  return Array.from({ length: count }, (_, i) => list[Math.floor((i * list.length) / count)]!);
}
