import { BAND_NAMES, bandOf } from "../band.ts";
import { normalCdf } from "../distributions/normal.ts";
import { tCdf } from "../distributions/student-t.ts";
import { type UnitChecks, USE } from "../fleet.ts";
import { cutLives } from "../life.ts";
import { fitStraightLine, predictMean } from "../linearity/straight-line.ts";

/**
 * Forecasts that anyone could make from one unit's own readings: the yardsticks that the fleet model is held against.
 * Each is the probability that the unit is beyond tolerance at its service, the worst band counting.
 */
export interface PlainForecasts {
  /** It stays where its last check saw it. */
  readonly lastValue: number;
  /** It stays at the mean of its life's checks. */
  readonly mean: number;
  /** It goes on along the straight line through its life's checks. */
  readonly straightLine: number;
}

/** One reading's scatter where a life is too short to tell, as a share of the tolerance; methods' cold start. */
const USUAL_SCATTER = 0.15;

/** A scatter below this is the resolution's, not the unit's. */
const LEAST_SCATTER = 0.02;

interface BandSeries {
  readonly day: readonly number[];
  /** Error over tolerance. */
  readonly value: readonly number[];
}

/**
 * @param onDay Day that is forecast.
 * @returns null where the present life has no usable reading.
 */
export function plainForecasts(unit: UnitChecks, onDay: number): PlainForecasts | null {
  const bands = presentLife(unit).filter(({ value }) => value.length > 0);
  if (bands.length === 0) return null;
  const worst = (model: (series: BandSeries) => number) => Math.max(...bands.map(model));
  return {
    lastValue: worst(({ value }) => beyond(value.at(-1)!, scatterOf(value))),
    mean: worst(({ value }) => beyond(meanOf(value), scatterOf(value) / Math.sqrt(value.length))),
    straightLine: worst((series) => alongLine(series, onDay)),
  };
}

function presentLife({ readings, services }: UnitChecks): BandSeries[] {
  const series = BAND_NAMES.map(() => ({ day: [] as number[], value: [] as number[] }));
  for (const i of cutLives(readings, services).at(-1)!.readings) {
    const band = bandOf(readings.torque[i]!);
    const value = readings.error[i]! / readings.tolerance[i]!;
    if (band === null || readings.use[i] === USE.shownOnly || !Number.isFinite(value)) continue;
    const into = series[BAND_NAMES.indexOf(band)]!;
    into.day.push(readings.day[i]!);
    into.value.push(value);
  }
  return series;
}

/** Chance that a value known to within `sd` is beyond -1 or 1. */
function beyond(value: number, sd: number): number {
  return normalCdf((value - 1) / sd) + normalCdf((-1 - value) / sd);
}

function meanOf(values: readonly number[]): number {
  return values.reduce((a, b) => a + b, 0) / values.length;
}

/** Scatter of single readings from their neighbours' differences: a drift adds little to it. */
function scatterOf(values: readonly number[]): number {
  if (values.length < 3) return USUAL_SCATTER;
  let squares = 0;
  for (let i = 1; i < values.length; i++) squares += (values[i]! - values[i - 1]!) ** 2;
  return Math.max(LEAST_SCATTER, Math.sqrt(squares / (2 * (values.length - 1))));
}

function alongLine({ day, value }: BandSeries, onDay: number): number {
  const spansTime = day.length >= 3 && day.at(-1)! > day[0]!;
  if (!spansTime) return beyond(value.at(-1)!, scatterOf(value));
  const line = fitStraightLine(day, value);
  const { value: there, se } = predictMean(line, onDay);
  const sd = Math.max(LEAST_SCATTER, se);
  return tCdf((there - 1) / sd, line.df) + tCdf((-1 - there) / sd, line.df);
}
