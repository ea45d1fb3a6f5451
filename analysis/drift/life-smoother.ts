import { PARAMETERS } from "./components.ts";
import type { LifeChecks } from "./life-checks.ts";
import { ERROR_COLUMN, type LifeFilter, STATE } from "./life-filter.ts";
import type { OwnPosterior } from "./own-posterior.ts";

const OWN_COLUMNS = PARAMETERS + 1;

/** Numbers kept per check for a shift of zero and span: two scores, three informations. */
const RAW_SHIFT = 5;

/**
 * The way back over a filtered life: how strongly every reading and every gap between checks asks for an event.
 *
 * @remarks
 * For a shift d of the state just before a check, the log-likelihood changes by `score d - information d^2 / 2`,
 * exactly; likewise for an addition to one reading. `run` walks back once; `given` then integrates the life's own
 * nine numbers out under one explanation of the life, and may be called for each explanation in turn. So one pass
 * back weighs every place at which a step or a stray reading could be.
 *
 * Source: P. de Jong and J. Penzer, Diagnosing shocks in time series, JASA 93 (1998) 796-806.
 */
export class LifeSmoother {
  /** Per reading: score and information of an addition to it. */
  readingScore = new Float64Array(0);
  readingInformation = new Float64Array(0);
  /** Per check, 2 numbers: score of a shift of zero, and of span, just before it. */
  shiftScore = new Float64Array(0);
  /** Per check, 3 numbers: information of a shift of zero, of span, and of both together. */
  shiftInformation = new Float64Array(0);

  // The same before the own numbers are integrated out, and what their columns add.
  private rawReading = new Float64Array(0);
  private ownReading = new Float64Array(0);
  private rawShift = new Float64Array(0);
  private ownShift = new Float64Array(0);
  private readings = 0;
  private checks = 0;

  private readonly r = new Float64Array(STATE);
  private readonly R = new Float64Array(STATE * PARAMETERS);
  private readonly N = new Float64Array(STATE * STATE);
  private readonly h = new Float64Array(STATE);
  private readonly NK = new Float64Array(STATE);
  private readonly spread = new Float64Array(PARAMETERS);

  /** `filter` must hold the run over the same life without shared columns. */
  run(life: LifeChecks, filter: LifeFilter): void {
    this.prepare(life);
    const { r, R, N, h, NK, rawReading, ownReading, rawShift, ownShift } = this;
    const { precision, gain, innovation } = filter;
    r.fill(0);
    R.fill(0);
    N.fill(0);
    for (let k = life.checks - 1; k >= 0; k--) {
      for (let i = life.firstReading[k + 1]! - 1; i >= life.firstReading[k]!; i--) {
        const w = precision[i]!;
        if (w === 0) {
          rawReading[2 * i] = 0;
          rawReading[2 * i + 1] = 0;
          continue;
        }
        h[0] = 1;
        h[1] = life.span[i]!;
        h[2] = life.curvature[i]!;
        h[3] = life.friction[i]!;
        h[4] = life.span[i]!;
        const g = i * STATE;
        const q = i * OWN_COLUMNS;
        const o = i * PARAMETERS;
        let u = innovation[q + ERROR_COLUMN]! * w;
        let D = w;
        for (let a = 0; a < STATE; a++) {
          const gainA = gain[g + a]!;
          u -= gainA * r[a]!;
          let sum = 0;
          for (let b = 0; b < STATE; b++) sum += N[a * STATE + b]! * gain[g + b]!;
          NK[a] = sum;
          D += gainA * sum;
        }
        rawReading[2 * i] = u;
        rawReading[2 * i + 1] = D;
        for (let p = 0; p < PARAMETERS; p++) {
          let sum = innovation[q + p]! * w;
          for (let a = 0; a < STATE; a++) sum -= gain[g + a]! * R[a * PARAMETERS + p]!;
          ownReading[o + p] = sum;
        }
        for (let a = 0; a < STATE; a++) {
          const ha = h[a]!;
          r[a]! += ha * u;
          for (let p = 0; p < PARAMETERS; p++) R[a * PARAMETERS + p]! += ha * ownReading[o + p]!;
          for (let b = 0; b < STATE; b++) N[a * STATE + b]! += ha * h[b]! * D - ha * NK[b]! - NK[a]! * h[b]!;
        }
      }
      const c = k * RAW_SHIFT;
      rawShift[c] = r[0]!;
      rawShift[c + 1] = r[1]!;
      rawShift[c + 2] = N[0]!;
      rawShift[c + 3] = N[STATE + 1]!;
      rawShift[c + 4] = N[1]!;
      for (let p = 0; p < 2 * PARAMETERS; p++) ownShift[k * 2 * PARAMETERS + p] = R[p]!;
      // A check's shared error ends with it.
      r[4] = 0;
      R.fill(0, 4 * PARAMETERS);
      for (let a = 0; a < STATE; a++) {
        N[a * STATE + 4] = 0;
        N[4 * STATE + a] = 0;
      }
    }
  }

  /** Integrates the own numbers out under one explanation, given by its posterior. */
  given({ mean, covariance }: OwnPosterior): void {
    const { rawReading, ownReading, rawShift, ownShift, spread } = this;
    for (let i = 0; i < this.readings; i++) {
      if (rawReading[2 * i + 1] === 0) {
        this.readingScore[i] = 0;
        this.readingInformation[i] = 0;
        continue;
      }
      const o = i * PARAMETERS;
      times(covariance, ownReading, o, spread);
      this.readingScore[i] = rawReading[2 * i]! - dot(ownReading, o, mean);
      this.readingInformation[i] = Math.max(0, rawReading[2 * i + 1]! - dot(ownReading, o, spread));
    }
    for (let k = 0; k < this.checks; k++) {
      const c = k * RAW_SHIFT;
      const zero = k * 2 * PARAMETERS;
      const span = zero + PARAMETERS;
      this.shiftScore[2 * k] = rawShift[c]! - dot(ownShift, zero, mean);
      this.shiftScore[2 * k + 1] = rawShift[c + 1]! - dot(ownShift, span, mean);
      times(covariance, ownShift, zero, spread);
      this.shiftInformation[3 * k] = Math.max(0, rawShift[c + 2]! - dot(ownShift, zero, spread));
      this.shiftInformation[3 * k + 2] = rawShift[c + 4]! - dot(ownShift, span, spread);
      times(covariance, ownShift, span, spread);
      this.shiftInformation[3 * k + 1] = Math.max(0, rawShift[c + 3]! - dot(ownShift, span, spread));
    }
  }

  private prepare(life: LifeChecks): void {
    const readings = life.error.length;
    const checks = life.checks;
    this.readings = readings;
    this.checks = checks;
    if (this.readingScore.length < readings) {
      this.readingScore = new Float64Array(readings);
      this.readingInformation = new Float64Array(readings);
      this.rawReading = new Float64Array(2 * readings);
      this.ownReading = new Float64Array(PARAMETERS * readings);
    }
    if (this.shiftScore.length < 2 * checks) {
      this.shiftScore = new Float64Array(2 * checks);
      this.shiftInformation = new Float64Array(3 * checks);
      this.rawShift = new Float64Array(RAW_SHIFT * checks);
      this.ownShift = new Float64Array(2 * PARAMETERS * checks);
    }
  }
}

function dot(a: Float64Array, at: number, b: Float64Array): number {
  let sum = 0;
  for (let p = 0; p < PARAMETERS; p++) sum += a[at + p]! * b[p]!;
  return sum;
}

function times(matrix: Float64Array, a: Float64Array, at: number, into: Float64Array): void {
  for (let p = 0; p < PARAMETERS; p++) {
    let sum = 0;
    for (let q = 0; q < PARAMETERS; q++) sum += matrix[p * PARAMETERS + q]! * a[at + q]!;
    into[p] = sum;
  }
}
