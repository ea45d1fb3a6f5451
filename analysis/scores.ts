import { normalCdf, normalPdf, normalQuantile } from "./distributions/normal.ts";
import { ImpossibleValueError, LengthMismatchError, TooFewPointsError } from "./errors.ts";

/** A forecast of 0 or 1 that failed would cost infinitely much; it is taken as this close to certain. */
const CERTAIN = 1e-12;

/**
 * Brier score: mean squared distance of forecast probability and outcome.
 *
 * Source: Brier (1950), Monthly Weather Review 78:1, for one of two outcomes.
 *
 * @param probabilities 0 to 1. Shape: n >= 1.
 * @param outcomes Whether it came. Shape: n.
 * @returns 0 is best, 1 worst.
 * @throws {TooFewPointsError} for no forecasts. Here as in the other scores:
 * @throws {LengthMismatchError} for forecasts and outcomes of different length.
 * @throws {ImpossibleValueError} for a probability outside 0 to 1.
 */
export function brierScore(probabilities: ArrayLike<number>, outcomes: ArrayLike<boolean>): number {
  const n = requireForecasts("brierScore", probabilities, outcomes);
  return meanOf(n, (i) => (probabilities[i]! - Number(outcomes[i])) ** 2);
}

/** 1 - Brier score / that of the base rate; 1 is best, 0 no better than the base rate; null where nothing or everything came. */
export function brierSkill(probabilities: ArrayLike<number>, outcomes: ArrayLike<boolean>): number | null {
  const score = brierScore(probabilities, outcomes);
  const rate = meanOf(outcomes.length, (i) => Number(outcomes[i]));
  const reference = rate * (1 - rate);
  return reference === 0 ? null : 1 - score / reference;
}

/**
 * Mean negative logarithm of the probability given to what came.
 *
 * @remarks A forecast of exactly 0 or 1 is taken as 1e-12 away from it, so that a single miss stays finite.
 */
export function logScore(probabilities: ArrayLike<number>, outcomes: ArrayLike<boolean>): number {
  const n = requireForecasts("logScore", probabilities, outcomes);
  return meanOf(n, (i) => {
    const given = outcomes[i] ? probabilities[i]! : 1 - probabilities[i]!;
    return -Math.log(Math.min(1 - CERTAIN, Math.max(CERTAIN, given)));
  });
}

/**
 * Area under the ROC curve: how often a case that came was given more than one that did not, ties as one half.
 *
 * @returns null where nothing or everything came. O(n log n).
 */
export function areaUnderRoc(probabilities: ArrayLike<number>, outcomes: ArrayLike<boolean>): number | null {
  const n = requireForecasts("areaUnderRoc", probabilities, outcomes);
  const order = Array.from({ length: n }, (_, i) => i).sort((a, b) => probabilities[a]! - probabilities[b]!);
  let came = 0;
  let rankSum = 0;
  for (let from = 0; from < n; ) {
    let to = from;
    while (to < n && probabilities[order[to]!] === probabilities[order[from]!]) to++;
    const meanRank = (from + 1 + to) / 2;
    for (let k = from; k < to; k++) {
      if (!outcomes[order[k]!]) continue;
      came++;
      rankSum += meanRank;
    }
    from = to;
  }
  const pairs = came * (n - came);
  return pairs === 0 ? null : (rankSum - (came * (came + 1)) / 2) / pairs;
}

/** Forecasts of about the same probability, held against what came. */
export interface ReliabilityBin {
  readonly count: number;
  readonly meanProbability: number;
  readonly came: number;
  readonly observed: number;
  /** Wilson's 95 % interval of the observed share. */
  readonly lower: number;
  readonly upper: number;
}

/**
 * Forecasts sorted into bins of about equal count.
 *
 * @remarks Equal probabilities stay together, so bins can be fewer or fuller than asked.
 *
 * @param bins How many, 1 or more.
 * @param least Forecasts that a bin must hold; smaller ones are joined.
 * @returns By rising probability.
 */
export function reliabilityBins(
  probabilities: ArrayLike<number>,
  outcomes: ArrayLike<boolean>,
  bins = 10,
  least = 20,
): ReliabilityBin[] {
  const n = requireForecasts("reliabilityBins", probabilities, outcomes);
  const order = Array.from({ length: n }, (_, i) => i).sort((a, b) => probabilities[a]! - probabilities[b]!);
  const size = Math.max(least, n / bins);
  const groups: number[][] = [];
  let group: number[] = [];
  for (const [k, i] of order.entries()) {
    group.push(i);
    const next = order[k + 1];
    const splitsTie = next !== undefined && probabilities[next] === probabilities[i];
    if (group.length >= size && !splitsTie) {
      groups.push(group);
      group = [];
    }
  }
  // What is left at the top is a bin of its own only when it is large enough.
  const last = groups.at(-1);
  if (last === undefined || group.length >= Math.max(1, least)) groups.push(group);
  else last.push(...group);
  return groups.map((members) => binOf(members, probabilities, outcomes));
}

function binOf(
  members: readonly number[],
  probabilities: ArrayLike<number>,
  outcomes: ArrayLike<boolean>,
): ReliabilityBin {
  const count = members.length;
  const came = members.filter((i) => outcomes[i]).length;
  const meanProbability = members.reduce((sum, i) => sum + probabilities[i]!, 0) / count;
  return { count, meanProbability, came, observed: came / count, ...wilsonInterval(came, count) };
}

export interface BrierParts {
  /** How far the bins' observed shares are from their forecasts; 0 is best. */
  readonly reliability: number;
  /** How far the observed shares are from the base rate; more is better. */
  readonly resolution: number;
  readonly uncertainty: number;
}

/**
 * Brier score = reliability - resolution + uncertainty, over groups of equal forecasts.
 *
 * @remarks Exact for forecasts that take few different values; round them first where every one differs.
 *
 * Source: Murphy (1973), Journal of Applied Meteorology 12:595.
 */
export function brierDecomposition(
  probabilities: ArrayLike<number>,
  outcomes: ArrayLike<boolean>,
): BrierParts {
  const n = requireForecasts("brierDecomposition", probabilities, outcomes);
  const rate = meanOf(n, (i) => Number(outcomes[i]));
  const groups = Map.groupBy(
    Array.from({ length: n }, (_, i) => i),
    (i) => probabilities[i]!,
  );
  let reliability = 0;
  let resolution = 0;
  for (const [probability, members] of groups) {
    const observed = members.filter((i) => outcomes[i]).length / members.length;
    reliability += (members.length / n) * (probability - observed) ** 2;
    resolution += (members.length / n) * (observed - rate) ** 2;
  }
  return { reliability, resolution, uncertainty: rate * (1 - rate) };
}

/**
 * Continuous ranked probability score of a normal forecast: like an absolute error, in the unit of y.
 *
 * Source: Gneiting and Raftery (2007), J. Amer. Statist. Assoc. 102:359.
 *
 * @throws {ImpossibleValueError} for a standard deviation that is not above 0.
 */
export function crpsNormal(y: number, mean: number, sd: number): number {
  if (!(sd > 0)) throw new ImpossibleValueError("crpsNormal", "sd", "above 0", sd);
  const z = (y - mean) / sd;
  return sd * (z * (2 * normalCdf(z) - 1) + 2 * normalPdf(z) - 1 / Math.sqrt(Math.PI));
}

/**
 * Score of an interval that should hold y with probability 1 - alpha: its width and a penalty for a miss.
 *
 * Source: Gneiting and Raftery (2007).
 *
 * @throws {RangeError} unless 0 < alpha < 1.
 * @throws {ImpossibleValueError} for an upper end below the lower.
 */
export function intervalScore(y: number, lower: number, upper: number, alpha: number): number {
  if (!(alpha > 0 && alpha < 1)) throw new RangeError(`alpha must be between 0 and 1, got ${alpha}`);
  if (!(upper >= lower))
    throw new ImpossibleValueError("intervalScore", "upper end", `${lower} or more`, upper);
  return upper - lower + (2 / alpha) * (Math.max(0, lower - y) + Math.max(0, y - upper));
}

/**
 * Wilson's interval for a share, never outside 0 to 1 and sensible at 0 of n.
 *
 * Source: Wilson (1927), J. Amer. Statist. Assoc. 22:209.
 *
 * @param came Whole number, 0 to n.
 * @param n 1 or more.
 * @throws {ImpossibleValueError} for counts that cannot be.
 * @example
 * wilsonInterval(6, 80); // { lower: 0.0348..., upper: 0.1541... }
 */
export function wilsonInterval(
  came: number,
  n: number,
  confidence = 0.95,
): { readonly lower: number; readonly upper: number } {
  if (!(n >= 1)) throw new ImpossibleValueError("wilsonInterval", "n", "1 or more", n);
  if (!(came >= 0 && came <= n)) throw new ImpossibleValueError("wilsonInterval", "count", `0 to ${n}`, came);
  const z2 = normalQuantile((1 + confidence) / 2) ** 2;
  const share = came / n;
  const middle = share + z2 / (2 * n);
  const half = Math.sqrt(z2 * ((share * (1 - share)) / n + z2 / (4 * n * n)));
  const whole = 1 + z2 / n;
  // At 0 and n the ends are exact; rounding would put them a hair inside the share.
  return {
    lower: came === 0 ? 0 : (middle - half) / whole,
    upper: came === n ? 1 : (middle + half) / whole,
  };
}

function requireForecasts(
  method: string,
  probabilities: ArrayLike<number>,
  outcomes: ArrayLike<boolean>,
): number {
  const n = probabilities.length;
  if (outcomes.length !== n) throw new LengthMismatchError(method, n, outcomes.length);
  if (n === 0) throw new TooFewPointsError(method, 1, 0);
  for (let i = 0; i < n; i++) {
    const p = probabilities[i]!;
    if (!(p >= 0 && p <= 1)) throw new ImpossibleValueError(method, "probability", "0 to 1", p);
  }
  return n;
}

function meanOf(n: number, term: (i: number) => number): number {
  let sum = 0;
  for (let i = 0; i < n; i++) sum += term(i);
  return sum / n;
}
