import { PARAMETERS } from "./components.ts";
import type { LifeChecks } from "./life-checks.ts";
import { ERROR_COLUMN, type LifeFilter, STATE } from "./life-filter.ts";

const OWN_COLUMNS = PARAMETERS + 1;

/** Mean and covariance of the life's own nine numbers. */
export interface OwnPosterior {
  readonly mean: Float64Array;
  /** Row-major, {@link PARAMETERS} x {@link PARAMETERS}. */
  readonly covariance: Float64Array;
}

/**
 * The way back over a filtered life: how strongly every reading and every gap between checks asks for an event.
 *
 * @remarks
 * For a shift of the state just before a check, the log-likelihood is `score' d - d' information d / 2`, exactly; for
 * one added to a reading likewise with one number each. The life's own nine numbers are integrated out with the
 * posterior given. So one pass back weighs every place at which a step or a stray reading could be.
 *
 * Source: P. de Jong and J. Penzer, Diagnosing shocks in time series, JASA 93 (1998) 796-806.
 */
export class LifeSmoother {
  /** Per reading: score and information of an addition to it. */
  readingScore = new Float64Array(0);
  readingInformation = new Float64Array(0);
  /** Per check, {@link STATE} numbers: score of a shift of each state just before it. */
  checkScore = new Float64Array(0);
  /** Per check, {@link STATE} + 1 numbers: information of each state's shift, and of zero with span. */
  checkInformation = new Float64Array(0);

  private readonly r = new Float64Array(STATE);
  private readonly R = new Float64Array(STATE * PARAMETERS);
  private readonly N = new Float64Array(STATE * STATE);
  private readonly h = new Float64Array(STATE);
  private readonly U = new Float64Array(PARAMETERS);
  private readonly NK = new Float64Array(STATE);

  /** `filter` must hold the run over the same life without shared columns. */
  run(life: LifeChecks, filter: LifeFilter, posterior: OwnPosterior): void {
    const { r, R, N, h, U, NK } = this;
    const { precision, gain, innovation } = filter;
    const { mean, covariance } = posterior;
    this.prepare(life);
    r.fill(0);
    R.fill(0);
    N.fill(0);
    for (let k = life.checks - 1; k >= 0; k--) {
      for (let i = life.firstReading[k + 1]! - 1; i >= life.firstReading[k]!; i--) {
        const w = precision[i]!;
        if (w === 0) {
          this.readingScore[i] = 0;
          this.readingInformation[i] = 0;
          continue;
        }
        h[0] = 1;
        h[1] = life.span[i]!;
        h[2] = life.curvature[i]!;
        h[3] = life.friction[i]!;
        h[4] = life.span[i]!;
        const g = i * STATE;
        const q = i * OWN_COLUMNS;
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
        for (let p = 0; p < PARAMETERS; p++) {
          let sum = innovation[q + p]! * w;
          for (let a = 0; a < STATE; a++) sum -= gain[g + a]! * R[a * PARAMETERS + p]!;
          U[p] = sum;
        }
        this.readingScore[i] = u - dot(U, 0, mean);
        this.readingInformation[i] = Math.max(0, D - quadratic(U, 0, U, 0, covariance));
        for (let a = 0; a < STATE; a++) {
          const ha = h[a]!;
          r[a]! += ha * u;
          for (let p = 0; p < PARAMETERS; p++) R[a * PARAMETERS + p]! += ha * U[p]!;
          for (let b = 0; b < STATE; b++) {
            N[a * STATE + b]! += ha * h[b]! * D - ha * NK[b]! - NK[a]! * h[b]!;
          }
        }
      }
      for (let a = 0; a < STATE; a++) {
        this.checkScore[k * STATE + a] = r[a]! - dot(R, a * PARAMETERS, mean);
        this.checkInformation[k * (STATE + 1) + a] = Math.max(
          0,
          N[a * STATE + a]! - quadratic(R, a * PARAMETERS, R, a * PARAMETERS, covariance),
        );
      }
      this.checkInformation[k * (STATE + 1) + STATE] = N[1]! - quadratic(R, 0, R, PARAMETERS, covariance);
      // A check's shared error ends with it.
      r[4] = 0;
      R.fill(0, 4 * PARAMETERS);
      for (let a = 0; a < STATE; a++) {
        N[a * STATE + 4] = 0;
        N[4 * STATE + a] = 0;
      }
    }
  }

  private prepare(life: LifeChecks): void {
    const readings = life.error.length;
    if (this.readingScore.length < readings) {
      this.readingScore = new Float64Array(readings);
      this.readingInformation = new Float64Array(readings);
    }
    if (this.checkScore.length < life.checks * STATE) {
      this.checkScore = new Float64Array(life.checks * STATE);
      this.checkInformation = new Float64Array(life.checks * (STATE + 1));
    }
  }
}

function dot(a: Float64Array, at: number, b: Float64Array): number {
  let sum = 0;
  for (let p = 0; p < PARAMETERS; p++) sum += a[at + p]! * b[p]!;
  return sum;
}

function quadratic(a: Float64Array, atA: number, b: Float64Array, atB: number, matrix: Float64Array): number {
  let sum = 0;
  for (let p = 0; p < PARAMETERS; p++) {
    let inner = 0;
    for (let q = 0; q < PARAMETERS; q++) inner += matrix[p * PARAMETERS + q]! * b[atB + q]!;
    sum += a[atA + p]! * inner;
  }
  return sum;
}
