import { PARAMETERS } from "./components.ts";
import type { LifeChecks } from "./life-checks.ts";

/** State of the filter: wander of the four components, and the error that one check's readings share. */
export const STATE = 5;
const SHARED_ERROR = 4;

/** Column of the readings themselves, after those of the life's own numbers; columns of shared effects follow. */
export const ERROR_COLUMN = PARAMETERS;
const OWN_COLUMNS = PARAMETERS + 1;

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

/**
 * Kalman filter over one life, with regression columns carried through the same gains.
 *
 * @remarks
 * The filter's state is only what wanders: four components and the error that a check's readings share. All else
 * (start and rate of each component, the span's acceleration, lots, baths) are columns: inputs whose innovations obey
 * the same recursion. The weighted products of the innovations are the information about those numbers, with wander,
 * scatter and shared errors integrated out exactly, so one pass serves every prior that is tried afterwards.
 *
 * One object is a workspace: `run` overwrites what the run before left. No allocation per reading.
 *
 * Source: P. de Jong, The diffuse Kalman filter, Annals of Statistics 19 (1991) 1073-1083 (augmented columns);
 * methods: generalised least squares by the filter's innovations, Sallas and Harville 1981.
 */
export class LifeFilter {
  /** Columns of the last run: 9 own numbers, the error, then the life's shared effects. */
  columns = OWN_COLUMNS;
  /** Lower triangle by rows: sum over readings of v v' / S. */
  information = new Float64Array(0);
  /** Sum over readings of ln S. */
  logVariance = 0;
  used = 0;
  /** Filtered state of each column at the last check, {@link STATE} numbers each. */
  level = new Float64Array(0);
  /** Covariance of the wander at the last check, row-major {@link STATE} x {@link STATE}. */
  readonly covariance = new Float64Array(STATE * STATE);

  /** Per reading, for the way back: gains, 1 / S (0 where dropped), innovations of the own columns and the error. */
  gain = new Float64Array(0);
  precision = new Float64Array(0);
  innovation = new Float64Array(0);

  private factor = new Float64Array(0);
  private v = new Float64Array(0);
  private dropped = new Uint8Array(0);
  private step = new Uint8Array(0);

  /**
   * @param error Replaces the life's own errors (same length), e.g. with shared causes taken away.
   * @param withShared Whether the life's shared effects are columns.
   */
  run(
    life: LifeChecks,
    noise: LifeNoise,
    events: LifeEvents,
    withShared: boolean,
    error: Float64Array = life.error,
  ): void {
    this.prepare(life, events, withShared);
    const { covariance: P, level, information, factor, v, gain, precision, innovation, dropped } = this;
    const { span, curvature, friction, year, firstReading, effectStart, effect } = life;
    const wander = noise.wander;
    const n = this.columns;
    let active = withShared ? OWN_COLUMNS : n;
    let before = 0;
    let logVariance = 0;
    let used = 0;

    for (let k = 0; k < life.checks; k++) {
      const t = year[k]!;
      const elapsed = t - before;
      before = t;
      for (let c = 0; c < 4; c++) P[c * 6]! += wander[c]! * elapsed;
      if (this.step[k]) {
        P[0]! += noise.stepZero;
        P[6]! += noise.stepSpan;
      }
      // The shared error of a check is new in each.
      const b = life.coefficient[k]!;
      const ofTemperature = life.temperatureKnown[k] ? noise.temperature : noise.unrecordedTemperature;
      for (let i = 0; i < 4; i++) {
        P[i * STATE + SHARED_ERROR] = 0;
        P[SHARED_ERROR * STATE + i] = 0;
      }
      P[24] = noise.proportional + b * b * ofTemperature;
      for (let c = 0; c < active; c++) level[c * STATE + SHARED_ERROR] = 0;
      if (withShared) {
        for (let e = effectStart[k]!; e < effectStart[k + 1]!; e++) {
          const column = OWN_COLUMNS + effect[e]!;
          factor[column]! += life.factor[e]!;
          if (column >= active) active = column + 1;
        }
      }
      const halfSquare = 0.5 * t * t;

      for (let r = firstReading[k]!; r < firstReading[k + 1]!; r++) {
        if (dropped[r]) {
          precision[r] = 0;
          continue;
        }
        const h1 = span[r]!;
        const h2 = curvature[r]!;
        const h3 = friction[r]!;
        const p0 = P[0]! + P[1]! * h1 + P[2]! * h2 + P[3]! * h3 + P[4]! * h1;
        const p1 = P[5]! + P[6]! * h1 + P[7]! * h2 + P[8]! * h3 + P[9]! * h1;
        const p2 = P[10]! + P[11]! * h1 + P[12]! * h2 + P[13]! * h3 + P[14]! * h1;
        const p3 = P[15]! + P[16]! * h1 + P[17]! * h2 + P[18]! * h3 + P[19]! * h1;
        const p4 = P[20]! + P[21]! * h1 + P[22]! * h2 + P[23]! * h3 + P[24]! * h1;
        const S = p0 + p1 * h1 + p2 * h2 + p3 * h3 + p4 * h1 + noise.repeatability * life.varianceFactor[r]!;
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

        v[0] = 1;
        v[1] = h1;
        v[2] = h2;
        v[3] = h3;
        v[4] = t;
        v[5] = t * h1;
        v[6] = t * h2;
        v[7] = t * h3;
        v[8] = halfSquare * h1;
        v[ERROR_COLUMN] = error[r]!;
        for (let c = OWN_COLUMNS; c < active; c++) v[c] = factor[c]! * h1;
        for (let c = 0; c < active; c++) {
          const a = c * STATE;
          const d =
            v[c]! -
            level[a]! -
            level[a + 1]! * h1 -
            level[a + 2]! * h2 -
            level[a + 3]! * h3 -
            level[a + 4]! * h1;
          v[c] = d;
          level[a]! += k0 * d;
          level[a + 1]! += k1 * d;
          level[a + 2]! += k2 * d;
          level[a + 3]! += k3 * d;
          level[a + 4]! += k4 * d;
          const weighted = d * w;
          const row = (c * (c + 1)) / 2;
          for (let j = 0; j <= c; j++) information[row + j]! += weighted * v[j]!;
        }
        const q = r * OWN_COLUMNS;
        for (let c = 0; c < OWN_COLUMNS; c++) innovation[q + c] = v[c]!;

        downdate(P, k0, k1, k2, k3, k4, p0, p1, p2, p3, p4);
      }
      if (withShared) {
        for (let e = effectStart[k]!; e < effectStart[k + 1]!; e++) factor[OWN_COLUMNS + effect[e]!] = 0;
      }
    }
    this.logVariance = logVariance;
    this.used = used;
  }

  private prepare(life: LifeChecks, events: LifeEvents, withShared: boolean): void {
    const n = OWN_COLUMNS + (withShared ? life.effects.length : 0);
    const readings = life.error.length;
    this.columns = n;
    if (this.v.length < n) {
      this.v = new Float64Array(n);
      this.factor = new Float64Array(n);
      this.level = new Float64Array(n * STATE);
      this.information = new Float64Array((n * (n + 1)) / 2);
    }
    if (this.precision.length < readings) {
      this.gain = new Float64Array(readings * STATE);
      this.precision = new Float64Array(readings);
      this.innovation = new Float64Array(readings * OWN_COLUMNS);
      this.dropped = new Uint8Array(readings);
    }
    if (this.step.length < life.checks) this.step = new Uint8Array(life.checks);
    this.level.fill(0, 0, n * STATE);
    this.information.fill(0, 0, (n * (n + 1)) / 2);
    this.covariance.fill(0);
    this.dropped.fill(0, 0, readings);
    this.step.fill(0, 0, life.checks);
    for (const r of events.dropped) this.dropped[r] = 1;
    for (const k of events.stepBefore) this.step[k] = 1;
  }
}

/** P -= k p', written out: this runs once a reading. */
function downdate(
  P: Float64Array,
  k0: number,
  k1: number,
  k2: number,
  k3: number,
  k4: number,
  p0: number,
  p1: number,
  p2: number,
  p3: number,
  p4: number,
): void {
  P[0]! -= k0 * p0;
  P[6]! -= k1 * p1;
  P[12]! -= k2 * p2;
  P[18]! -= k3 * p3;
  P[24]! -= k4 * p4;
  P[5] = P[1] = P[1]! - k0 * p1;
  P[10] = P[2] = P[2]! - k0 * p2;
  P[15] = P[3] = P[3]! - k0 * p3;
  P[20] = P[4] = P[4]! - k0 * p4;
  P[11] = P[7] = P[7]! - k1 * p2;
  P[16] = P[8] = P[8]! - k1 * p3;
  P[21] = P[9] = P[9]! - k1 * p4;
  P[17] = P[13] = P[13]! - k2 * p3;
  P[22] = P[14] = P[14]! - k2 * p4;
  P[23] = P[19] = P[19]! - k3 * p4;
}
