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

  /** What the own numbers' columns add to the score of the five states. */
  private readonly R = new Float64Array(STATE * PARAMETERS);
  private readonly spread = new Float64Array(PARAMETERS);

  /** `filter` must hold the run over the same life without shared columns. */
  run(life: LifeChecks, filter: LifeFilter): void {
    this.prepare(life);
    const { R, rawReading, ownReading, rawShift, ownShift } = this;
    const { precision, gain, innovation } = filter;
    R.fill(0);
    // Score and information of the five states, written out: this runs once a reading.
    let [r0, r1, r2, r3, r4] = [0, 0, 0, 0, 0];
    let [n00, n01, n02, n03, n04] = [0, 0, 0, 0, 0];
    let [n10, n11, n12, n13, n14] = [0, 0, 0, 0, 0];
    let [n20, n21, n22, n23, n24] = [0, 0, 0, 0, 0];
    let [n30, n31, n32, n33, n34] = [0, 0, 0, 0, 0];
    let [n40, n41, n42, n43, n44] = [0, 0, 0, 0, 0];
    for (let k = life.checks - 1; k >= 0; k--) {
      for (let i = life.firstReading[k + 1]! - 1; i >= life.firstReading[k]!; i--) {
        const w = precision[i]!;
        if (w === 0) {
          rawReading[2 * i] = 0;
          rawReading[2 * i + 1] = 0;
          continue;
        }
        const h1 = life.span[i]!;
        const h2 = life.curvature[i]!;
        const h3 = life.friction[i]!;
        const g = i * STATE;
        const q = i * OWN_COLUMNS;
        const o = i * PARAMETERS;
        const g0 = gain[g]!;
        const g1 = gain[g + 1]!;
        const g2 = gain[g + 2]!;
        const g3 = gain[g + 3]!;
        const g4 = gain[g + 4]!;
        const s0 = n00 * g0 + n01 * g1 + n02 * g2 + n03 * g3 + n04 * g4;
        const s1 = n10 * g0 + n11 * g1 + n12 * g2 + n13 * g3 + n14 * g4;
        const s2 = n20 * g0 + n21 * g1 + n22 * g2 + n23 * g3 + n24 * g4;
        const s3 = n30 * g0 + n31 * g1 + n32 * g2 + n33 * g3 + n34 * g4;
        const s4 = n40 * g0 + n41 * g1 + n42 * g2 + n43 * g3 + n44 * g4;
        const u = innovation[q + ERROR_COLUMN]! * w - g0 * r0 - g1 * r1 - g2 * r2 - g3 * r3 - g4 * r4;
        const D = w + g0 * s0 + g1 * s1 + g2 * s2 + g3 * s3 + g4 * s4;
        rawReading[2 * i] = u;
        rawReading[2 * i + 1] = D;
        for (let p = 0; p < PARAMETERS; p++) {
          const own =
            innovation[q + p]! * w -
            g0 * R[p]! -
            g1 * R[p + 9]! -
            g2 * R[p + 18]! -
            g3 * R[p + 27]! -
            g4 * R[p + 36]!;
          ownReading[o + p] = own;
          R[p]! += own;
          R[p + 9]! += h1 * own;
          R[p + 18]! += h2 * own;
          R[p + 27]! += h3 * own;
          R[p + 36]! += h1 * own;
        }
        r0 += u;
        r1 += h1 * u;
        r2 += h2 * u;
        r3 += h3 * u;
        r4 += h1 * u;
        n00 += D - s0 - s0;
        n01 += h1 * D - s1 - s0 * h1;
        n02 += h2 * D - s2 - s0 * h2;
        n03 += h3 * D - s3 - s0 * h3;
        n04 += h1 * D - s4 - s0 * h1;
        n10 += h1 * D - h1 * s0 - s1;
        n11 += h1 * h1 * D - h1 * s1 - s1 * h1;
        n12 += h1 * h2 * D - h1 * s2 - s1 * h2;
        n13 += h1 * h3 * D - h1 * s3 - s1 * h3;
        n14 += h1 * h1 * D - h1 * s4 - s1 * h1;
        n20 += h2 * D - h2 * s0 - s2;
        n21 += h2 * h1 * D - h2 * s1 - s2 * h1;
        n22 += h2 * h2 * D - h2 * s2 - s2 * h2;
        n23 += h2 * h3 * D - h2 * s3 - s2 * h3;
        n24 += h2 * h1 * D - h2 * s4 - s2 * h1;
        n30 += h3 * D - h3 * s0 - s3;
        n31 += h3 * h1 * D - h3 * s1 - s3 * h1;
        n32 += h3 * h2 * D - h3 * s2 - s3 * h2;
        n33 += h3 * h3 * D - h3 * s3 - s3 * h3;
        n34 += h3 * h1 * D - h3 * s4 - s3 * h1;
        n40 += h1 * D - h1 * s0 - s4;
        n41 += h1 * h1 * D - h1 * s1 - s4 * h1;
        n42 += h1 * h2 * D - h1 * s2 - s4 * h2;
        n43 += h1 * h3 * D - h1 * s3 - s4 * h3;
        n44 += h1 * h1 * D - h1 * s4 - s4 * h1;
      }
      const c = k * RAW_SHIFT;
      rawShift[c] = r0;
      rawShift[c + 1] = r1;
      rawShift[c + 2] = n00;
      rawShift[c + 3] = n11;
      rawShift[c + 4] = n01;
      for (let p = 0; p < 2 * PARAMETERS; p++) ownShift[k * 2 * PARAMETERS + p] = R[p]!;
      // A check's shared error ends with it.
      r4 = 0;
      R.fill(0, 4 * PARAMETERS);
      n04 = n14 = n24 = n34 = n44 = 0;
      n40 = n41 = n42 = n43 = 0;
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
  const a0 = a[at]!;
  const a1 = a[at + 1]!;
  const a2 = a[at + 2]!;
  const a3 = a[at + 3]!;
  const a4 = a[at + 4]!;
  const a5 = a[at + 5]!;
  const a6 = a[at + 6]!;
  const a7 = a[at + 7]!;
  const a8 = a[at + 8]!;
  for (let p = 0, m = 0; p < PARAMETERS; p++, m += PARAMETERS) {
    into[p] =
      matrix[m]! * a0 +
      matrix[m + 1]! * a1 +
      matrix[m + 2]! * a2 +
      matrix[m + 3]! * a3 +
      matrix[m + 4]! * a4 +
      matrix[m + 5]! * a5 +
      matrix[m + 6]! * a6 +
      matrix[m + 7]! * a7 +
      matrix[m + 8]! * a8;
  }
}
