import { NoScatterError, TooFewPointsError } from "../errors.ts";
import { moments } from "../numeric/moments.ts";
import { type ChartPoint, valuesInOrder } from "./chart-point.ts";
import { MEAN_RANGE_OF_PAIR, movingRangeSigma, SD_OF_RANGE_OF_PAIR } from "./moving-range.ts";

/** Checks from the start of a life that limits are frozen from, unless told otherwise. */
export const BASELINE_CHECKS = 8;

/** Distance of the limits from the centre line, in sigma; the custom of charts for individual values. */
const LIMIT_SIGMA = 3;

/** Limits of an individuals and moving-range chart: plain data, to be kept with what they were fitted on. */
export interface IndividualsLimits {
  readonly centre: number;
  readonly sigma: number;
  readonly lower: number;
  readonly upper: number;
  readonly meanMovingRange: number;
  /** The moving range's lower limit is 0. */
  readonly movingRangeUpper: number;
  /** Distance of the limits from the centre. Unit: sigma. */
  readonly limitSigma: number;
  /** Reference points that the limits rest on, and their days. */
  readonly count: number;
  readonly fromDay: number;
  readonly toDay: number;
}

/**
 * Limits of an individuals and moving-range chart from reference points, frozen.
 *
 * @remarks
 * Estimating is done once, at the start of a life; judging is {@link judgeIndividuals}. Limits from a handful of
 * points are themselves uncertain: with 8 of them an undisturbed series leaves its 3-sigma limits more often than
 * once in 370 checks. For alarms over a fleet use limits that carry that uncertainty.
 *
 * Source: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2, with the exact divisor 2 / sqrt(pi).
 *
 * @param reference Points of the reference period in order of time, equal times allowed. Shape: n >= 2.
 * @param limitSigma Distance of the limits from the centre; default 3. Unit: sigma.
 * @throws {TooFewPointsError} for fewer than 2 points.
 * @throws {NoScatterError} where all points are equal.
 * @throws {NonFiniteValueError} for NaN or infinity.
 * @throws {OutOfOrderError} for points that run backwards in time.
 * @throws {RangeError} for a distance that is not above 0.
 */
export function fitIndividualsBaseline(
  reference: readonly ChartPoint[],
  limitSigma: number = LIMIT_SIGMA,
): IndividualsLimits {
  if (!(limitSigma > 0)) throw new RangeError(`limitSigma must be above 0, got ${limitSigma}`);
  const count = reference.length;
  if (count < 2) throw new TooFewPointsError("fitIndividualsBaseline", 2, count);
  const values = valuesInOrder("fitIndividualsBaseline", reference);
  const sigma = movingRangeSigma(values);
  if (sigma === 0) throw new NoScatterError("fitIndividualsBaseline", count);
  const { mean: centre } = moments(values);
  return {
    centre,
    sigma,
    lower: centre - limitSigma * sigma,
    upper: centre + limitSigma * sigma,
    meanMovingRange: sigma * MEAN_RANGE_OF_PAIR,
    movingRangeUpper: sigma * (MEAN_RANGE_OF_PAIR + limitSigma * SD_OF_RANGE_OF_PAIR),
    limitSigma,
    count,
    fromDay: reference[0]!.day,
    toDay: reference[count - 1]!.day,
  };
}

export interface JudgedPoint extends ChartPoint {
  /** Distance from the centre line. Unit: sigma of the limits. */
  readonly distanceSigma: number;
  readonly beyond: boolean;
  /** Absolute difference to the point before; null for the first. */
  readonly movingRange: number | null;
  readonly movingRangeBeyond: boolean;
}

/**
 * Holds points against frozen limits; the limits stay as they are.
 *
 * @param points In order of time, the reference points among them or not. Shape: any length.
 * @throws {NonFiniteValueError} for NaN or infinity.
 * @throws {OutOfOrderError} for points that run backwards in time.
 */
export function judgeIndividuals(points: readonly ChartPoint[], limits: IndividualsLimits): JudgedPoint[] {
  const values = valuesInOrder("judgeIndividuals", points);
  return points.map(({ day, value }, i) => {
    const movingRange = i === 0 ? null : Math.abs(value - values[i - 1]!);
    return {
      day,
      value,
      distanceSigma: (value - limits.centre) / limits.sigma,
      beyond: value < limits.lower || value > limits.upper,
      movingRange,
      movingRangeBeyond: movingRange !== null && movingRange > limits.movingRangeUpper,
    };
  });
}
