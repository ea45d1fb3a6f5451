import { tQuantile } from "../distributions/student-t.ts";
import {
  ImpossibleValueError,
  LengthMismatchError,
  SingularDesignError,
  TooFewPointsError,
} from "../errors.ts";
import { USE } from "../fleet.ts";
import { type CheckNoise, fitWithNoise, type NoiseFit, USUAL_CHECK_NOISE } from "./check-noise.ts";
import { combination, type Estimate, type JointTest, jointTest, simultaneousFactor } from "./estimate.ts";
import { groupColumns, type LackOfFit, lackOfFit } from "./lack-of-fit.ts";
import { type RegressionReadings, whitenChecks } from "./whitened-checks.ts";

/** A reading that stands apart in its check counts as one with three times the standard deviation. */
const LOW_WEIGHT = 1 / 9;

/** Torques closer than this count as one level: they cannot tell a slope. Unit: % of full scale. */
const LEVEL_STEP = 1;

/** Readings of many checks as columns of equal length. */
export interface LinearityReadings {
  /** Number of the check that a reading belongs to. */
  readonly check: ArrayLike<number>;
  /** Expected torque. Unit: % of full scale. */
  readonly torque: ArrayLike<number>;
  /** Error. Unit: % of full scale. */
  readonly error: ArrayLike<number>;
  /** Share of a full reading's weight, above 0; 1 for all where left out. */
  readonly weight?: ArrayLike<number>;
}

/** Error on expected torque: error at torque x % = zero + span x / 100. Units: % of full scale. */
export interface LinearityFit {
  readonly checks: number;
  readonly readings: number;
  /** Lowest and highest expected torque of the readings. */
  readonly fromTorque: number;
  readonly toTorque: number;
  readonly zero: Estimate;
  readonly span: Estimate;
  /** Test that zero and span are both 0. */
  readonly joint: JointTest;
  /**
   * Departure of the middle (50 %) from the chord between 20 and 85 %; null with fewer than three levels of torque,
   * or where independent readings leave nothing to judge it by.
   */
  readonly nonlinearity: Estimate | null;
  /** The same as coefficient of 4 ((x/100)^2 - x/100), which is 0 at both ends of the scale and -1 in its middle. */
  readonly curvature: Estimate | null;
  /** null where no torque was repeated. */
  readonly lackOfFit: LackOfFit | null;
  /** Scatter seen: of one reading in % of full scale, and shared by a check in % of reading. */
  readonly repeatability: number;
  readonly sharedProportional: number;
  /** Error minus line, one a reading, in their order. */
  readonly residuals: Float64Array;
  /** The line's coefficients with their covariance, for bands and comparisons. */
  readonly line: NoiseFit;
}

/** N = -0.42 curvature: 4 x (0.5 - 0.2) x (0.85 - 0.5), at the torques where units are judged. */
export const DEPARTURE_PER_CURVATURE = -4 * (0.5 - 0.2) * (0.85 - 0.5);

/**
 * Regression of error on expected torque, pooled over checks.
 *
 * @remarks
 * The regressor is the expected torque, which is known, so errors in variables do not arise. Zero and span come from
 * the straight line; nonlinearity is judged by a parabola beside it. A shared error in proportion to torque can only
 * enter the span: it widens the span's standard error and leaves those of zero and nonlinearity alone.
 * A slow drift of the span within the period counts as scatter between checks.
 *
 * @param readings Shape: n of each, n >= 2 with torques at least 1 % of full scale apart.
 * @param noise What is known about the scatter; `null`: every reading stands alone, as in a textbook's regression.
 * @throws {TooFewPointsError} for fewer than 2 readings, or 3 that stand alone.
 * @throws {LengthMismatchError} for columns of different length.
 * @throws {SingularDesignError} where all torques lie within 1 % of full scale.
 * @throws {ImpossibleValueError} for a weight that is not above 0.
 * @throws {NoScatterError} where readings that stand alone lie on a line exactly.
 * @throws {NonFiniteValueError} for NaN or infinity.
 */
export function fitLinearity(
  readings: LinearityReadings,
  noise: CheckNoise | null = USUAL_CHECK_NOISE,
): LinearityFit {
  const data = regressionReadings(readings);
  const n = data.error.length;
  const torque = Float64Array.from(data.torque);
  const ones = new Float64Array(n).fill(1);
  const levels = countLevels(readings.torque);
  if (levels < 2) throw new SingularDesignError("fitLinearity", "all torques lie within 1 % of full scale");

  const line = fitWithNoise([ones, torque], data, noise);
  const bend = torque.map((x) => 4 * (x * x - x));
  const canBend = levels > 2 && (noise !== null || n > 3);
  const parabola = canBend ? fitWithNoise([ones, torque, bend], data, noise) : null;

  const [zero, span] = [line.coefficients[0]!, line.coefficients[1]!];
  return {
    checks: new Set(Array.from(readings.check)).size,
    readings: n,
    fromTorque: 100 * Math.min(...torque),
    toTorque: 100 * Math.max(...torque),
    zero: combination(line, [1, 0]),
    span: combination(line, [0, 1]),
    joint: jointTest(line),
    nonlinearity: parabola && combination(parabola, [0, 0, DEPARTURE_PER_CURVATURE]),
    curvature: parabola && combination(parabola, [0, 0, 1]),
    lackOfFit: repeatsAgainstLine(data, line),
    repeatability: line.repeatability,
    sharedProportional: line.sharedProportional,
    residuals: torque.map((x, i) => data.error[i]! - zero - span * x),
    line,
  };
}

function countLevels(torques: ArrayLike<number>): number {
  let levels = 0;
  let last = Number.NEGATIVE_INFINITY;
  for (const torque of Float64Array.from(torques).sort()) {
    if (torque - last < LEVEL_STEP) continue;
    levels++;
    last = torque;
  }
  return levels;
}

function repeatsAgainstLine(data: RegressionReadings, line: NoiseFit): LackOfFit | null {
  const groups = groupColumns(data.torque);
  if (groups.length === data.error.length) return null;
  const ratio = (line.sharedProportional / line.repeatability) ** 2;
  const pure = whitenChecks(groups, data).fit(ratio);
  return lackOfFit(line.whitenedSquares, line.df, pure.residualSquares, pure.df);
}

function regressionReadings(readings: LinearityReadings): RegressionReadings {
  const n = readings.error.length;
  const weight = readings.weight ?? new Float64Array(n).fill(1);
  for (const column of [readings.check, readings.torque, weight]) {
    if (column.length !== n) throw new LengthMismatchError("fitLinearity", n, column.length);
  }
  if (n < 2) throw new TooFewPointsError("fitLinearity", 2, n);
  for (let i = 0; i < n; i++) {
    if (!(weight[i]! > 0)) throw new ImpossibleValueError("fitLinearity", "weight", "above 0", weight[i]!);
  }
  const torque = Float64Array.from({ length: n }, (_, i) => readings.torque[i]! / 100);
  return { check: readings.check, torque, error: readings.error, weight };
}

/**
 * The usable readings among those of a life, or of a period in it.
 *
 * @param indices Readings to choose from, as {@link cutLives} gives them.
 * @param fromDay First and last moment, both included; everything where left out. Unit: days since 1970-01-01 UTC.
 */
export function linearityReadings(
  readings: Readonly<Record<"day" | "check" | "torque" | "error" | "use", ArrayLike<number>>>,
  indices: ArrayLike<number>,
  fromDay = Number.NEGATIVE_INFINITY,
  toDay = Number.POSITIVE_INFINITY,
): LinearityReadings {
  const used = Array.from(indices).filter(
    (i) => readings.use[i] !== USE.shownOnly && readings.day[i]! >= fromDay && readings.day[i]! <= toDay,
  );
  return {
    check: used.map((i) => readings.check[i]!),
    torque: used.map((i) => readings.torque[i]!),
    error: used.map((i) => readings.error[i]!),
    weight: used.map((i) => (readings.use[i] === USE.lowWeight ? LOW_WEIGHT : 1)),
  };
}

/** A line with its confidence band. Shape of each: that of `torque`. Unit: % of full scale. */
export interface LinearityBand {
  readonly torque: readonly number[];
  readonly mean: readonly number[];
  readonly lower: readonly number[];
  readonly upper: readonly number[];
}

/**
 * Confidence band of the mean error along the torque.
 *
 * @param kind `pointwise` holds the line at one torque with the confidence, `simultaneous` (Working and Hotelling) at
 *   all torques at once.
 * @param torques Unit: % of full scale.
 * @param confidence Between 0 and 1.
 * @throws {RangeError} for a confidence that is not between 0 and 1.
 */
export function linearityBand(
  fit: LinearityFit,
  torques: readonly number[],
  kind: "pointwise" | "simultaneous" = "pointwise",
  confidence = 0.95,
): LinearityBand {
  const points = torques.map((torque) => {
    const { value, se, df } = combination(fit.line, [1, torque / 100]);
    const factor =
      kind === "pointwise"
        ? tQuantile((1 + confidence) / 2, df)
        : simultaneousFactor(confidence, fit.joint.df2);
    return { value, half: factor * se };
  });
  return {
    torque: torques,
    mean: points.map((p) => p.value),
    lower: points.map((p) => p.value - p.half),
    upper: points.map((p) => p.value + p.half),
  };
}
