import type { LifeSeries } from "./life-series.ts";
import type { Movement } from "./movement.ts";

/** A prediction error further out moves the state as if it were this far. Unit: sigma. */
const BOUNDED_AT = 3;

/**
 * How far a quantity's rate over a life is from a sound unit's, in standard deviations.
 *
 * @param scale By check: how the unit scatters against what is expected.
 * @returns 0 where no check of the life tells the quantity.
 */
export function rateScore(
  { movement, value, variance, checks, day }: LifeSeries,
  q: number,
  scale: Float64Array,
): number {
  const of = movement[q];
  if (!of) return 0;
  const filter = new RateFilter(of);
  for (let k = 0; k < day.length; k++) {
    const y = value[q]![k]!;
    if (!Number.isNaN(y)) filter.take(checks.year[k]!, y, variance[q]![k]! * scale[k]! * scale[k]!);
  }
  return filter.score();
}

/**
 * One quantity's level and rate over a life, for how far the rate is from a sound unit's. One stray check moves the
 * state by a bounded amount. Some thirty multiplications a check.
 *
 * Source: Kalman filter of a local level with a random rate.
 */
class RateFilter {
  /** Level, rate a year, and their covariance [A, B; B, C]. */
  private m: number;
  private b = 0;
  private A: number;
  private B = 0;
  private C: number;
  private year = 0;
  private readonly wander: number;
  private readonly anyRate: number;
  private readonly soundRate: number;

  constructor({ startMean, startVariance, anyRate, soundRate, wander }: Movement) {
    this.m = startMean;
    this.A = startVariance;
    this.C = anyRate;
    this.wander = wander;
    this.anyRate = anyRate;
    this.soundRate = soundRate;
  }

  take(year: number, value: number, variance: number): void {
    const d = year - this.year;
    this.year = year;
    this.m += this.b * d;
    this.A += 2 * d * this.B + d * d * this.C + this.wander * d;
    this.B += d * this.C;
    const S = this.A + variance;
    const bound = BOUNDED_AT * Math.sqrt(S);
    const v = Math.max(-bound, Math.min(bound, value - this.m));
    const { A, B } = this;
    const [levelGain, rateGain] = [A / S, B / S];
    this.m += levelGain * v;
    this.b += rateGain * v;
    this.C -= rateGain * B;
    this.B -= rateGain * A;
    this.A -= levelGain * A;
  }

  /** How far the rate is from a sound unit's, by the checks alone, in standard deviations. */
  score(): number {
    const precision = 1 / this.C - 1 / this.anyRate;
    if (!(precision > 1e-9 / this.anyRate)) return 0;
    const estimate = this.b / this.C / precision;
    return estimate / Math.sqrt(1 / precision + this.soundRate);
  }
}
