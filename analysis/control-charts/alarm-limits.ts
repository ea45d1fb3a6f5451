import { normalQuantile, normalUpperTail } from "../distributions/normal.ts";
import { dispersionRunLength } from "./dispersion.ts";
import { cusumRunLength, ewmaRunLength, requireDesign } from "./run-length.ts";

/** Limits from the number of false alarms that a fleet can follow up. */
export interface AlarmBudget {
  readonly falseAlarmsPerMonth: number;
  /** Series that are charted, each chart on a series counted. */
  readonly streams: number;
  /** Values that a stream must run on average before a false alarm. */
  readonly runLength: number;
}

/** However small or large the fleet: fewer cannot be noticed missing, more are not followed up. */
export const FALSE_ALARMS_PER_MONTH = { least: 1, most: 10 };

/** Solved before: all units of a fleet ask for the same few, and one takes a tenth of a second. */
const solvedIntervals = new Map<string, number>();
const MOST_SOLVED = 100;

/**
 * The run length that a fleet's budget asks of every chart.
 *
 * @param units Units under watch, above 0.
 * @param streamsPerUnit Charted series of a unit, each chart counted, above 0.
 * @param checksPerUnitAndMonth Above 0.
 * @param perMonthPer100Units False alarms that are accepted, above 0; the fleet gets at least 1 and at most 10 a month.
 * @throws {RangeError} for an argument not above 0.
 */
export function alarmBudget(
  units: number,
  streamsPerUnit: number,
  checksPerUnitAndMonth: number,
  perMonthPer100Units: number,
): AlarmBudget {
  requireDesign({ units, streamsPerUnit, checksPerUnitAndMonth, perMonthPer100Units });
  const { least, most } = FALSE_ALARMS_PER_MONTH;
  const falseAlarmsPerMonth = Math.min(most, Math.max(least, (units / 100) * perMonthPer100Units));
  const streams = units * streamsPerUnit;
  return { falseAlarmsPerMonth, streams, runLength: (streams * checksPerUnitAndMonth) / falseAlarmsPerMonth };
}

/** Limit of a chart for individual values, in sigma. @throws {RangeError} for a run length not above 1. */
export function individualsLimit(runLength: number): number {
  requireRunLength(runLength);
  return -normalQuantile(1 / (2 * runLength));
}

/** Limit of an EWMA chart with asymptotic limits, in standard deviations of the mean; strays as in {@link EwmaRunLengthDesign}. @throws {RangeError} as {@link individualsLimit}, and for a weight outside 0 to 1. */
export function ewmaLimit(weight: number, runLength: number, strayShare = 0): number {
  requireRunLength(runLength);
  return solveLogarithm((limitSigma) => ewmaRunLength({ weight, limitSigma, strayShare }), runLength);
}

/** Decision interval of a two-sided CUSUM, in sigma. @throws {RangeError} as {@link individualsLimit}, and for a negative allowance. */
export function cusumInterval(allowance: number, runLength: number): number {
  requireRunLength(runLength);
  const key = `${allowance} ${runLength}`;
  let interval = solvedIntervals.get(key);
  if (interval === undefined) {
    interval = solveLogarithm(
      (decisionInterval) => cusumRunLength({ allowance, decisionInterval }),
      runLength,
    );
    if (solvedIntervals.size >= MOST_SOLVED) solvedIntervals.clear();
    solvedIntervals.set(key, interval);
  }
  return interval;
}

/** Where so many values are strays that two of them in a row come more often than is allowed. Unit: sigma. */
const FURTHEST = 4;

/**
 * Limit that two values in a row must pass on the same side, in sigma.
 *
 * Source: two in a row with probability p each come after (1 + p) / p^2 values on average (Feller, An Introduction to
 * Probability Theory, XIII.7, from memory); either side halves that.
 *
 * @param strayShare Share of values that are strays, beyond any limit on one side or the other.
 * @returns At most 4, however many are strays.
 * @throws {RangeError} as {@link individualsLimit}.
 */
export function twoInARowLimit(runLength: number, strayShare = 0): number {
  requireRunLength(runLength);
  const allowed = Math.min(0.5, (1 + Math.sqrt(1 + 8 * runLength)) / (4 * runLength));
  const usual = (allowed - strayShare / 2) / (1 - strayShare);
  return usual > normalUpperTail(FURTHEST) ? -normalQuantile(usual) : FURTHEST;
}

/** Decision interval of the scatter chart; `clipSigma` and strays as of its run length. @throws {RangeError} as {@link individualsLimit}. */
export function dispersionInterval(
  runLength: number,
  clipSigma = Number.POSITIVE_INFINITY,
  strayShare = 0,
): number {
  requireRunLength(runLength);
  return solveLogarithm(
    (interval) => dispersionRunLength(interval, 1, undefined, clipSigma, strayShare),
    runLength,
  );
}

function requireRunLength(runLength: number): void {
  if (!(runLength > 1 && runLength < Number.POSITIVE_INFINITY)) {
    throw new RangeError(`runLength must be above 1, got ${runLength}`);
  }
}

/**
 * The limit at which a run length that grows with it reaches its target: false position on the logarithm, which is
 * nearly straight, with the end that stays halved (Illinois).
 */
function solveLogarithm(runLength: (limit: number) => number, target: number): number {
  const height = (limit: number) => Math.log(runLength(limit) / target);
  let low = 1e-3;
  let below = height(low);
  // A target next to 1 is reached at once: a limit of next to nothing.
  if (below >= 0) return low;
  let high = 1;
  let above = height(high);
  while (above < 0) {
    [low, below] = [high, above];
    high *= 1.5;
    above = height(high);
  }
  for (let i = 0; i < 60; i++) {
    const limit = (low * above - high * below) / (above - below);
    const value = height(limit);
    if (Math.abs(value) < 1e-10 || high - low < 1e-12 * high) return limit;
    if (value < 0) {
      [low, below] = [limit, value];
      above /= 2;
    } else {
      [high, above] = [limit, value];
      below /= 2;
    }
  }
  return (low + high) / 2;
}
