import { PARAMETERS } from "./components.ts";
import type { LifeChecks } from "./life-checks.ts";

/** State of the filter: wander of the four components, and the error that one check's readings share. */
export const STATE = 5;
export const SHARED_ERROR = 4;

/** Column of the readings themselves, after those of the life's own numbers; columns of shared effects may follow. */
export const ERROR_COLUMN = PARAMETERS;
export const OWN_COLUMNS = PARAMETERS + 1;

/** What a life's readings scatter by. Variances in (% of full scale)^2. */
export interface LifeNoise {
  /** Of one reading. */
  readonly repeatability: number;
  /** Of what a check's readings share in proportion: filling and handling. Unit: (% of the reading)^2. */
  readonly proportional: number;
  /** Of the recorded fluid temperature. Unit: K^2. */
  readonly temperature: number;
  /** Of the fluid temperature where it was not recorded. Unit: K^2. */
  readonly unrecordedTemperature: number;
  /** Growth of the wander's variance of each component. Unit: (% of full scale)^2 per year. */
  readonly wander: ArrayLike<number>;
  /** Variance of a sudden shift in zero and span. */
  readonly stepZero: number;
  readonly stepSpan: number;
}

/** What was found to have happened in a life beside noise and drift. */
export interface LifeEvents {
  /** Checks (by number) with a sudden shift between the check before and this one. */
  readonly stepBefore: readonly number[];
  /** Readings (by number within the life) that stand apart. */
  readonly dropped: readonly number[];
}

export const NO_EVENTS: LifeEvents = { stepBefore: [], dropped: [] };

/** What a filter leaves of a life: columns of numbers with what the readings say about them. */
export interface FilteredLife {
  /** 9 own numbers, the error, then shared effects if any. */
  readonly columns: number;
  /** Lower triangle by rows: sum over readings of v v' / S, v the innovations of the columns. */
  readonly information: Float64Array;
  /** Sum over readings of ln S. */
  readonly logVariance: number;
  readonly used: number;
  /** Filtered state of each column at the last check, {@link STATE} numbers each. */
  readonly level: Float64Array;
  /** Covariance of the wander at the last check, row-major {@link STATE} x {@link STATE}. */
  readonly covariance: Float64Array;
}

/**
 * Kalman filter over one life, with regression columns carried through the same gains.
 *
 * @remarks
 * The filter's state is only what wanders: four components and the error that a check's readings share. The life's own
 * numbers (start and rate of each component, the span's acceleration) are columns: inputs whose innovations obey the
 * same recursion. The weighted products of the innovations are the information about those numbers, with wander,
 * scatter and shared errors integrated out exactly, so one pass serves every prior that is tried afterwards.
 *
 * One object is a workspace: `run` overwrites what the run before left. No allocation per reading; what runs once a
 * reading is written out, with the covariance in variables of its own: a loop over it takes twice as long.
 *
 * Source: P. de Jong, The diffuse Kalman filter, Annals of Statistics 19 (1991) 1073-1083 (augmented columns);
 * methods: generalised least squares by the filter's innovations, Sallas and Harville 1981.
 */
export class LifeFilter implements FilteredLife {
  readonly columns = OWN_COLUMNS;
  readonly information = new Float64Array((OWN_COLUMNS * (OWN_COLUMNS + 1)) / 2);
  logVariance = 0;
  used = 0;
  readonly level = new Float64Array(OWN_COLUMNS * STATE);
  readonly covariance = new Float64Array(STATE * STATE);

  /** Per reading, for the way back: gains, 1 / S (0 where dropped), innovations of the columns. */
  gain = new Float64Array(0);
  precision = new Float64Array(0);
  innovation = new Float64Array(0);

  private dropped = new Uint8Array(0);
  private step = new Uint8Array(0);

  /** @param error Replaces the life's own errors (same length), e.g. with shared causes taken away. */
  run(life: LifeChecks, noise: LifeNoise, events: LifeEvents, error: Float64Array = life.error): void {
    this.prepare(life, events);
    const { level, gain, precision, innovation, dropped, step } = this;
    const { span, curvature, friction, year, firstReading, varianceFactor } = life;
    const { repeatability, stepZero, stepSpan } = noise;
    const wander0 = noise.wander[0]!;
    const wander1 = noise.wander[1]!;
    const wander2 = noise.wander[2]!;
    const wander3 = noise.wander[3]!;
    // Covariance of the state, upper triangle.
    let p00 = 0;
    let p01 = 0;
    let p02 = 0;
    let p03 = 0;
    let p04 = 0;
    let p11 = 0;
    let p12 = 0;
    let p13 = 0;
    let p14 = 0;
    let p22 = 0;
    let p23 = 0;
    let p24 = 0;
    let p33 = 0;
    let p34 = 0;
    let p44 = 0;
    let before = 0;
    let logVariance = 0;
    let used = 0;

    for (let k = 0; k < life.checks; k++) {
      const t = year[k]!;
      const elapsed = t - before;
      before = t;
      p00 += wander0 * elapsed;
      p11 += wander1 * elapsed;
      p22 += wander2 * elapsed;
      p33 += wander3 * elapsed;
      if (step[k]) {
        p00 += stepZero;
        p11 += stepSpan;
      }
      // The shared error of a check is new in each.
      const b = life.coefficient[k]!;
      const ofTemperature = life.temperatureKnown[k] ? noise.temperature : noise.unrecordedTemperature;
      p04 = p14 = p24 = p34 = 0;
      p44 = noise.proportional + b * b * ofTemperature;
      for (let a = SHARED_ERROR; a < OWN_COLUMNS * STATE; a += STATE) level[a] = 0;
      const halfSquare = 0.5 * t * t;

      for (let r = firstReading[k]!; r < firstReading[k + 1]!; r++) {
        const q = r * OWN_COLUMNS;
        if (dropped[r]) {
          precision[r] = 0;
          innovation.fill(0, q, q + OWN_COLUMNS);
          continue;
        }
        const h1 = span[r]!;
        const h2 = curvature[r]!;
        const h3 = friction[r]!;
        const p0 = p00 + (p01 + p04) * h1 + p02 * h2 + p03 * h3;
        const p1 = p01 + (p11 + p14) * h1 + p12 * h2 + p13 * h3;
        const p2 = p02 + (p12 + p24) * h1 + p22 * h2 + p23 * h3;
        const p3 = p03 + (p13 + p34) * h1 + p23 * h2 + p33 * h3;
        const p4 = p04 + (p14 + p44) * h1 + p24 * h2 + p34 * h3;
        const S = p0 + (p1 + p4) * h1 + p2 * h2 + p3 * h3 + repeatability * varianceFactor[r]!;
        const w = 1 / S;
        logVariance += Math.log(S);
        used++;
        const k0 = p0 * w;
        const k1 = p1 * w;
        const k2 = p2 * w;
        const k3 = p3 * w;
        const k4 = p4 * w;
        precision[r] = w;
        const g = r * STATE;
        gain[g] = k0;
        gain[g + 1] = k1;
        gain[g + 2] = k2;
        gain[g + 3] = k3;
        gain[g + 4] = k4;

        innovation[q] = 1;
        innovation[q + 1] = h1;
        innovation[q + 2] = h2;
        innovation[q + 3] = h3;
        innovation[q + 4] = t;
        innovation[q + 5] = t * h1;
        innovation[q + 6] = t * h2;
        innovation[q + 7] = t * h3;
        innovation[q + 8] = halfSquare * h1;
        innovation[q + ERROR_COLUMN] = error[r]!;
        for (let c = q, a = 0; a < OWN_COLUMNS * STATE; c++, a += STATE) {
          const l0 = level[a]!;
          const l1 = level[a + 1]!;
          const l2 = level[a + 2]!;
          const l3 = level[a + 3]!;
          const l4 = level[a + 4]!;
          const d = innovation[c]! - l0 - (l1 + l4) * h1 - l2 * h2 - l3 * h3;
          innovation[c] = d;
          level[a] = l0 + k0 * d;
          level[a + 1] = l1 + k1 * d;
          level[a + 2] = l2 + k2 * d;
          level[a + 3] = l3 + k3 * d;
          level[a + 4] = l4 + k4 * d;
        }

        p00 -= k0 * p0;
        p01 -= k0 * p1;
        p02 -= k0 * p2;
        p03 -= k0 * p3;
        p04 -= k0 * p4;
        p11 -= k1 * p1;
        p12 -= k1 * p2;
        p13 -= k1 * p3;
        p14 -= k1 * p4;
        p22 -= k2 * p2;
        p23 -= k2 * p3;
        p24 -= k2 * p4;
        p33 -= k3 * p3;
        p34 -= k3 * p4;
        p44 -= k4 * p4;
      }
    }
    this.logVariance = logVariance;
    this.used = used;
    this.covariance.set([p00, p01, p02, p03, p04, p01, p11, p12, p13, p14, p02, p12, p22, p23, p24]);
    this.covariance.set([p03, p13, p23, p33, p34, p04, p14, p24, p34, p44], 3 * STATE);
    this.sumUp(life.error.length);
  }

  /** The information, two columns by two at a time: the sums stay in variables. */
  private sumUp(readings: number): void {
    const { information, innovation, precision } = this;
    for (let c = 0; c < OWN_COLUMNS; c += 2) {
      for (let j = 0; j <= c; j += 2) {
        let s00 = 0;
        let s01 = 0;
        let s10 = 0;
        let s11 = 0;
        for (let r = 0, q = 0; r < readings; r++, q += OWN_COLUMNS) {
          const w = precision[r]!;
          const c0 = innovation[q + c]! * w;
          const c1 = innovation[q + c + 1]! * w;
          const j0 = innovation[q + j]!;
          const j1 = innovation[q + j + 1]!;
          s00 += c0 * j0;
          s01 += c0 * j1;
          s10 += c1 * j0;
          s11 += c1 * j1;
        }
        const upper = (c * (c + 1)) / 2 + j;
        const lower = ((c + 1) * (c + 2)) / 2 + j;
        information[upper] = s00;
        if (j < c) information[upper + 1] = s01;
        information[lower] = s10;
        information[lower + 1] = s11;
      }
    }
  }

  private prepare(life: LifeChecks, events: LifeEvents): void {
    const readings = life.error.length;
    if (this.precision.length < readings) {
      this.gain = new Float64Array(readings * STATE);
      this.precision = new Float64Array(readings);
      this.innovation = new Float64Array(readings * OWN_COLUMNS);
      this.dropped = new Uint8Array(readings);
    }
    if (this.step.length < life.checks) this.step = new Uint8Array(life.checks);
    this.level.fill(0);
    this.dropped.fill(0, 0, readings);
    this.step.fill(0, 0, life.checks);
    for (const r of events.dropped) this.dropped[r] = 1;
    for (const k of events.stepBefore) this.step[k] = 1;
  }
}
