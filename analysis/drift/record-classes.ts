import { wilsonInterval } from "../scores.ts";
import type { ScoredForecast } from "./back-test.ts";

/** Units that were given about the same probability, and how many of them went out. */
export interface RecordClass {
  /** Probabilities from `from` up to `to`, the last class with its end. */
  readonly from: number;
  readonly to: number;
  readonly units: number;
  readonly wentOut: number;
  /** Sum of the probabilities: as many were to be expected to go out. */
  readonly expected: number;
  /**
   * How likely a number at least as far from the expected one is, either way, if every probability was right and the
   * units went their own ways: small where the forecasts were wrong.
   */
  readonly chance: number;
  /** Wilson's 95 % interval of the share that went out. */
  readonly lower: number;
  readonly upper: number;
}

/** Classes as people ask for them, finer where forecasts are surer. */
const EDGES = [0, 0.01, 0.05, 0.2, 0.4, 0.6, 0.8, 0.95, 1];

/** Fewer units than these that went out say too little about the forecasts. */
export const FAILURES_TO_JUDGE = 20;

/**
 * The record as counts of units by the probability that they were given.
 *
 * @remarks
 * A unit that was forecast several times before one service counts once in each class, by its first forecast there:
 * the forecasts of one unit come true or not together, and counted each they would make chance look smaller than it is.
 *
 * @returns By rising probability; classes that no unit was in are left out.
 */
export function recordClasses(forecasts: readonly ScoredForecast[]): RecordClass[] {
  return EDGES.slice(0, -1).flatMap((from, c): RecordClass[] => {
    const to = EDGES[c + 1]!;
    const isLast = c === EDGES.length - 2;
    const first = new Map<string, ScoredForecast>();
    for (const forecast of forecasts) {
      if (forecast.p < from || (isLast ? forecast.p > to : forecast.p >= to)) continue;
      const life = lifeKey(forecast);
      const known = first.get(life);
      if (known === undefined || forecast.madeOnDay < known.madeOnDay) first.set(life, forecast);
    }
    if (first.size === 0) return [];
    const members = [...first.values()];
    const wentOut = members.filter((forecast) => forecast.wentOut).length;
    const expected = members.reduce((sum, { p }) => sum + p, 0);
    return [
      {
        from,
        to,
        units: first.size,
        wentOut,
        expected,
        chance: chanceOf(
          wentOut,
          members.map(({ p }) => p),
        ),
        ...wilsonInterval(wentOut, first.size),
      },
    ];
  });
}

/** Twice the smaller tail of the number that goes out, each unit with its own probability (Poisson's binomial). */
function chanceOf(wentOut: number, probabilities: readonly number[]): number {
  // chance[k]: that k of the units looked at so far went out.
  const chance = new Float64Array(probabilities.length + 1);
  chance[0] = 1;
  probabilities.forEach((p, i) => {
    for (let k = i + 1; k > 0; k--) chance[k] = chance[k]! * (1 - p) + chance[k - 1]! * p;
    chance[0]! *= 1 - p;
  });
  const sum = (from: number, to: number) => chance.subarray(from, to).reduce((total, c) => total + c, 0);
  return Math.min(1, 2 * Math.min(sum(0, wentOut + 1), sum(wentOut, chance.length)));
}

/** How many units went out before a service, each service of a unit counted once. */
export function failuresIn(forecasts: readonly ScoredForecast[]): number {
  return new Set(forecasts.filter(({ wentOut }) => wentOut).map(lifeKey)).size;
}

/** How many services of units were forecast. */
export function livesIn(forecasts: readonly ScoredForecast[]): number {
  return new Set(forecasts.map(lifeKey)).size;
}

function lifeKey({ instrument, serviceDay }: ScoredForecast): string {
  return `${serviceDay} ${instrument}`;
}
