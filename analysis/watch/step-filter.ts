import type { Movement } from "./movement.ts";

/** A prediction error further out moves the state as if it were this far. Unit: sigma. */
const BOUNDED_AT = 3;

/**
 * One quantity's level and rate, and the next check predicted from the checks before it.
 *
 * @remarks
 * Standardised prediction errors are independent and standard normal while the unit moves as the fleet's units do,
 * whatever the dates; so they can be charted without a thought for spacing or drift. One stray check moves the state
 * by a bounded amount. Some thirty multiplications a check.
 *
 * Source: Kalman filter of a local level with a random rate; the idea of charting its innovations: Mandel (1969),
 * Journal of Quality Technology 1:1, from memory.
 */
export class StepFilter {
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
  /** Of the last check: prediction error, its variance, and the value's own. */
  private v = 0;
  private S = 1;

  constructor({ startMean, startVariance, anyRate, soundRate, wander }: Movement) {
    this.m = startMean;
    this.A = startVariance;
    this.C = anyRate;
    this.wander = wander;
    this.anyRate = anyRate;
    this.soundRate = soundRate;
  }

  /** Prediction error of the check that was predicted last. Unit: that of the quantity. */
  get error(): number {
    return this.v;
  }

  /** Goes to the next check and gives its prediction error over its standard deviation. */
  predict(year: number, value: number, variance: number): number {
    const d = year - this.year;
    this.year = year;
    this.m += this.b * d;
    this.A += 2 * d * this.B + d * d * this.C + this.wander * d;
    this.B += d * this.C;
    this.v = value - this.m;
    this.S = this.A + variance;
    return this.v / Math.sqrt(this.S);
  }

  /** Takes the check that was predicted last into the state. */
  update(): void {
    const bound = BOUNDED_AT * Math.sqrt(this.S);
    this.correct(Math.max(-bound, Math.min(bound, this.v)), this.S);
  }

  /** Takes it in as a check of a new level, the rate kept. */
  restart(): void {
    const { v } = this;
    this.A += v * v;
    this.correct(v, this.S + v * v);
  }

  /** How far the rate is from a sound unit's, by the checks alone, in standard deviations. */
  rateScore(): number {
    const precision = 1 / this.C - 1 / this.anyRate;
    if (!(precision > 1e-9 / this.anyRate)) return 0;
    const estimate = this.b / this.C / precision;
    return estimate / Math.sqrt(1 / precision + this.soundRate);
  }

  private correct(v: number, S: number): void {
    const { A, B } = this;
    const [levelGain, rateGain] = [A / S, B / S];
    this.m += levelGain * v;
    this.b += rateGain * v;
    this.C -= rateGain * B;
    this.B -= rateGain * A;
    this.A -= levelGain * A;
  }
}
