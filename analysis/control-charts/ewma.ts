import { ImpossibleValueError, LengthMismatchError } from "../errors.ts";
import { requireFinite } from "../numeric/moments.ts";

/** One step of a chart of exponentially weighted means. Units: those of the values. */
export interface EwmaPoint {
  readonly ewma: number;
  readonly lower: number;
  readonly upper: number;
  readonly beyond: boolean;
}

export interface EwmaDesign {
  /** Where the mean starts and is expected to stay. */
  readonly centre: number;
  /** Standard deviation of a single value. */
  readonly sigma: number;
  /** Weight of the newest value, above 0 to 1; or one a value, for irregular dates. */
  readonly weight: number | ArrayLike<number>;
  /** Distance of the limits from the centre. Unit: standard deviations of the mean. */
  readonly limitSigma: number;
  /**
   * `exact`: the mean's own standard deviation at each step, narrow at the start, so that an early shift shows;
   * `asymptotic`: the one it comes to, the same at every step.
   */
  readonly limits: "exact" | "asymptotic";
}

/**
 * Chart of exponentially weighted means: mean <- (1 - weight) mean + weight value.
 *
 * @remarks Linear in the number of values. The chart goes on after a point beyond its limits.
 *
 * Source: Lucas and Saccucci (1990), Technometrics 32:1; NIST/SEMATECH e-Handbook, 6.3.2.4.
 *
 * @param values Oldest first. Shape: any length.
 * @throws {NonFiniteValueError} for NaN or infinity.
 * @throws {ImpossibleValueError} for sigma not above 0, or a weight outside 0 to 1.
 * @throws {LengthMismatchError} for weights that are not one a value.
 * @throws {RangeError} for a limit distance not above 0, and for asymptotic limits with weights that differ.
 */
export function ewmaChart(values: ArrayLike<number>, design: EwmaDesign): EwmaPoint[] {
  requireFinite("ewmaChart", values);
  const { centre, sigma, limitSigma } = design;
  if (!(sigma > 0)) throw new ImpossibleValueError("ewmaChart", "sigma", "above 0", sigma);
  if (!(limitSigma > 0)) throw new RangeError(`limitSigma must be above 0, got ${limitSigma}`);
  const weights = weightsFor(values.length, design);
  const asymptotic = design.limits === "asymptotic" ? asymptoticSd(weights[0] ?? 1) : null;

  let mean = centre;
  let variance = 0; // of the mean, in units of sigma squared
  return Array.from({ length: values.length }, (_, i) => {
    const weight = weights[i]!;
    mean = (1 - weight) * mean + weight * values[i]!;
    variance = (1 - weight) ** 2 * variance + weight ** 2;
    const half = limitSigma * sigma * (asymptotic ?? Math.sqrt(variance));
    return { ewma: mean, lower: centre - half, upper: centre + half, beyond: Math.abs(mean - centre) > half };
  });
}

/** Standard deviation that the mean comes to, for values with standard deviation 1: sqrt(weight / (2 - weight)). */
export function asymptoticSd(weight: number): number {
  return Math.sqrt(weight / (2 - weight));
}

function weightsFor(count: number, { weight, limits }: EwmaDesign): Float64Array {
  if (typeof weight !== "number") {
    if (weight.length !== count) throw new LengthMismatchError("ewmaChart", count, weight.length);
    if (limits === "asymptotic") throw new RangeError("asymptotic limits need one weight for all values");
  }
  const weights =
    typeof weight === "number" ? new Float64Array(count).fill(weight) : Float64Array.from(weight);
  for (const w of weights) {
    if (!(w > 0 && w <= 1)) throw new ImpossibleValueError("ewmaChart", "weight", "above 0 to 1", w);
  }
  return weights;
}

/** A check long after the last, or right behind it, gets no less and no more than these weights. */
const WEIGHT_BOUNDS = [0.1, 0.4] as const;

/**
 * Weights for irregular dates: a value counts more the longer nothing was seen before it.
 *
 * @remarks weight_i = 1 - (1 - weight)^(gap / median gap), held between 0.1 and 0.4; the first value gets `weight`.
 *
 * @param days In order of time. Shape: n. Unit: days.
 * @param weight For a value after a usual gap, above 0 and below 1.
 * @throws {NonFiniteValueError} for NaN or infinity.
 */
export function weightsByTime(days: ArrayLike<number>, weight: number): Float64Array {
  requireFinite("weightsByTime", days);
  const gaps = Array.from({ length: Math.max(0, days.length - 1) }, (_, i) => days[i + 1]! - days[i]!);
  const usual = [...gaps].sort((a, b) => a - b)[Math.floor(gaps.length / 2)] ?? 0;
  const [least, most] = WEIGHT_BOUNDS;
  return Float64Array.from({ length: days.length }, (_, i) => {
    if (i === 0 || usual === 0) return weight;
    return Math.min(most, Math.max(least, 1 - (1 - weight) ** (gaps[i - 1]! / usual)));
  });
}
