import { BAND_EDGES, BAND_NAMES } from "../band.ts";

/** What is charted of a unit: the first three in % of full scale, the bands in error over tolerance. */
export const QUANTITIES = ["zero", "span", "nonlinearity", ...BAND_NAMES] as const;
export type Quantity = (typeof QUANTITIES)[number];

const [ZERO, SPAN, NONLINEARITY, LOW] = [0, 1, 2, 3];

/** Index of the first band among {@link QUANTITIES}. */
export const BANDS_FROM = LOW;

/** A range of torques below this tells offset and span apart too badly. Unit: fraction of full scale. */
const LEAST_TORQUE_RANGE = 0.3;

/** Departure of the middle from the chord at the judging torques 20, 50, 85 %, per second coefficient. */
const DEPARTURE_PER_SECOND = -(0.5 - 0.2) * (0.85 - 0.5);

/** One check's readings among columns: from `from` up to `to`. Torque as a fraction of full scale. */
export interface CheckColumns {
  readonly torque: Float64Array;
  readonly error: Float64Array;
  /** Tolerance of each reading. Unit: % of full scale. */
  readonly tolerance: Float64Array;
  /** Multiplies the repeatability variance. */
  readonly varianceFactor: Float64Array;
}

/**
 * The charted quantities of one check with their variances, into `value` and `variance`; NaN where the check cannot
 * tell: zero and span for torques that span less than 30 %, nonlinearity for fewer than three torques.
 *
 * @remarks
 * The same figures as checkQuantities, without an object a check, for fleets. Nonlinearity is referred to the judging
 * torques, so that checks at other torques make one series. An error in proportion to torque that the readings share
 * adds to the variance of span and bands only.
 *
 * @param repeatability Variance of one reading. Unit: (% of full scale)^2.
 * @param shared Variance of the shared proportional error. Unit: (% of reading)^2.
 * @param value Shape: one number for each of {@link QUANTITIES}; so `variance`.
 */
export function quantitiesOfCheck(
  columns: CheckColumns,
  from: number,
  to: number,
  repeatability: number,
  shared: number,
  value: Float64Array,
  variance: Float64Array,
): void {
  const { torque, error, varianceFactor } = columns;
  value.fill(Number.NaN);
  variance.fill(Number.NaN);
  bandsOfCheck(columns, from, to, repeatability, shared, value, variance);
  let weight = 0;
  let meanX = 0;
  let meanE = 0;
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (let i = from; i < to; i++) {
    const w = 1 / varianceFactor[i]!;
    weight += w;
    meanX += w * torque[i]!;
    meanE += w * error[i]!;
    low = Math.min(low, torque[i]!);
    high = Math.max(high, torque[i]!);
  }
  if (!(high - low >= LEAST_TORQUE_RANGE)) return;
  meanX /= weight;
  meanE /= weight;
  let squares = 0;
  let cubes = 0;
  let products = 0;
  for (let i = from; i < to; i++) {
    const w = 1 / varianceFactor[i]!;
    const z = torque[i]! - meanX;
    squares += w * z * z;
    cubes += w * z * z * z;
    products += w * z * (error[i]! - meanE);
  }
  const span = products / squares;
  value[ZERO] = meanE - span * meanX;
  value[SPAN] = span;
  variance[ZERO] = repeatability * (1 / weight + (meanX * meanX) / squares);
  variance[SPAN] = repeatability / squares + shared;

  // The parabola in a term that is orthogonal to the line over the check's own torques.
  const skew = cubes / squares;
  const meanSquare = squares / weight;
  let length = 0;
  let second = 0;
  for (let i = from; i < to; i++) {
    const w = 1 / varianceFactor[i]!;
    const z = torque[i]! - meanX;
    const q = z * z - skew * z - meanSquare;
    length += w * q * q;
    second += w * q * error[i]!;
  }
  if (!(length > 1e-6 * weight)) return;
  value[NONLINEARITY] = (DEPARTURE_PER_SECOND * second) / length;
  variance[NONLINEARITY] = (repeatability * DEPARTURE_PER_SECOND ** 2) / length;
}

/** Error over tolerance in each band: the weighted mean of its readings. */
function bandsOfCheck(
  { torque, error, tolerance, varianceFactor }: CheckColumns,
  from: number,
  to: number,
  repeatability: number,
  shared: number,
  value: Float64Array,
  variance: Float64Array,
): void {
  for (let i = from; i < to; ) {
    const band = bandNumber(torque[i]!);
    let weight = 0;
    let ratio = 0;
    let x = 0;
    let limit = 0;
    // Readings of a check stand in order of torque, so a band's are neighbours.
    for (; i < to && bandNumber(torque[i]!) === band; i++) {
      const w = 1 / varianceFactor[i]!;
      weight += w;
      ratio += (w * error[i]!) / tolerance[i]!;
      x += w * torque[i]!;
      limit += w * tolerance[i]!;
    }
    if (band < 0) continue;
    x /= weight;
    limit /= weight;
    value[LOW + band] = ratio / weight;
    variance[LOW + band] = (repeatability / weight + x * x * shared) / (limit * limit);
  }
}

/** Position in BAND_NAMES, -1 outside all; as bandOf, without a name. */
export function bandNumber(torque: number): number {
  const percent = 100 * torque;
  if (!(percent >= BAND_EDGES.low && percent <= BAND_EDGES.top)) return -1;
  return percent < BAND_EDGES.medium ? 0 : percent < BAND_EDGES.high ? 1 : 2;
}
