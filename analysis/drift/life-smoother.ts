import { PARAMETERS } from "./components.ts";
import type { LifeChecks } from "./life-checks.ts";
import { ERROR_COLUMN, type LifeFilter, OWN_COLUMNS, SHARED_ERROR, STATE } from "./life-filter.ts";
import type { OwnPosterior } from "./own-posterior.ts";

/** Numbers kept per check for a shift of zero and span: two scores, three informations. */
const RAW_SHIFT = 5;

/** What the own numbers add to a shift of zero, of span and of both at once. */
const SHIFT_ROWS = 3;

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

  /**
   * Per check, {@link OWN_COLUMNS} numbers: score of an addition in proportion to all its readings, by the columns of
   * the own numbers and by the errors, nothing integrated out.
   */
  proportionalScore = new Float64Array(0);
  /** Per check, {@link STATE} numbers: information of it together with a shift of each component, and of itself. */
  proportionalInformation = new Float64Array(0);

  // Scores and informations before the own numbers are integrated out, and what their columns add.
  private rawReading = new Float64Array(0);
  private ownReading = new Float64Array(0);
  private rawShift = new Float64Array(0);
  private ownShift = new Float64Array(0);
  private linear = new Float64Array(0);
  private quadratic = new Float64Array(0);
  private readings = 0;
  private checks = 0;

  /** What the own numbers' columns add to the score of the five states, five a column. */
  private readonly R = new Float64Array(PARAMETERS * STATE);
  /** A covariance's lower triangle by rows, what is off the diagonal doubled. */
  private readonly twice = new Float64Array((PARAMETERS * (PARAMETERS + 1)) / 2);

  /** `filter` must hold the run over the same life. */
  run(life: LifeChecks, filter: LifeFilter): void {
    this.prepare(life);
    const { R, rawReading, ownReading, rawShift, ownShift } = this;
    const { proportionalScore, proportionalInformation } = this;
    const { precision, gain, innovation } = filter;
    const { firstReading, span, curvature, friction } = life;
    R.fill(0);
    // Score and information (upper triangle) of the five states, written out: this runs once a reading.
    let r0 = 0;
    let r1 = 0;
    let r2 = 0;
    let r3 = 0;
    let r4 = 0;
    let n00 = 0;
    let n01 = 0;
    let n02 = 0;
    let n03 = 0;
    let n04 = 0;
    let n11 = 0;
    let n12 = 0;
    let n13 = 0;
    let n14 = 0;
    let n22 = 0;
    let n23 = 0;
    let n24 = 0;
    let n33 = 0;
    let n34 = 0;
    let n44 = 0;
    for (let k = life.checks - 1; k >= 0; k--) {
      for (let i = firstReading[k + 1]! - 1; i >= firstReading[k]!; i--) {
        const w = precision[i]!;
        if (w === 0) {
          rawReading[2 * i] = 0;
          rawReading[2 * i + 1] = 0;
          continue;
        }
        const h1 = span[i]!;
        const h2 = curvature[i]!;
        const h3 = friction[i]!;
        const g = i * STATE;
        const q = i * OWN_COLUMNS;
        const o = i * PARAMETERS;
        const g0 = gain[g]!;
        const g1 = gain[g + 1]!;
        const g2 = gain[g + 2]!;
        const g3 = gain[g + 3]!;
        const g4 = gain[g + 4]!;
        const s0 = n00 * g0 + n01 * g1 + n02 * g2 + n03 * g3 + n04 * g4;
        const s1 = n01 * g0 + n11 * g1 + n12 * g2 + n13 * g3 + n14 * g4;
        const s2 = n02 * g0 + n12 * g1 + n22 * g2 + n23 * g3 + n24 * g4;
        const s3 = n03 * g0 + n13 * g1 + n23 * g2 + n33 * g3 + n34 * g4;
        const s4 = n04 * g0 + n14 * g1 + n24 * g2 + n34 * g3 + n44 * g4;
        const u = innovation[q + ERROR_COLUMN]! * w - g0 * r0 - g1 * r1 - g2 * r2 - g3 * r3 - g4 * r4;
        const D = w + g0 * s0 + g1 * s1 + g2 * s2 + g3 * s3 + g4 * s4;
        rawReading[2 * i] = u;
        rawReading[2 * i + 1] = D;
        for (let p = 0, a = 0; p < PARAMETERS; p++, a += STATE) {
          const R0 = R[a]!;
          const R1 = R[a + 1]!;
          const R2 = R[a + 2]!;
          const R3 = R[a + 3]!;
          const R4 = R[a + 4]!;
          const own = innovation[q + p]! * w - g0 * R0 - g1 * R1 - g2 * R2 - g3 * R3 - g4 * R4;
          ownReading[o + p] = own;
          R[a] = R0 + own;
          R[a + 1] = R1 + h1 * own;
          R[a + 2] = R2 + h2 * own;
          R[a + 3] = R3 + h3 * own;
          R[a + 4] = R4 + h1 * own;
        }
        r0 += u;
        r1 += h1 * u;
        r2 += h2 * u;
        r3 += h3 * u;
        r4 += h1 * u;
        // N + h h' D - h s' - s h' is N + h e' + e h' with e as here.
        const d = 0.5 * D;
        const e0 = d - s0;
        const e1 = d * h1 - s1;
        const e2 = d * h2 - s2;
        const e3 = d * h3 - s3;
        const e4 = d * h1 - s4;
        n00 += 2 * e0;
        n01 += e0 * h1 + e1;
        n02 += e0 * h2 + e2;
        n03 += e0 * h3 + e3;
        n04 += e0 * h1 + e4;
        n11 += 2 * e1 * h1;
        n12 += e1 * h2 + e2 * h1;
        n13 += e1 * h3 + e3 * h1;
        n14 += (e1 + e4) * h1;
        n22 += 2 * e2 * h2;
        n23 += e2 * h3 + e3 * h2;
        n24 += e2 * h1 + e4 * h2;
        n33 += 2 * e3 * h3;
        n34 += e3 * h1 + e4 * h3;
        n44 += 2 * e4 * h1;
      }
      const c = k * RAW_SHIFT;
      rawShift[c] = r0;
      rawShift[c + 1] = r1;
      rawShift[c + 2] = n00;
      rawShift[c + 3] = n11;
      rawShift[c + 4] = n01;
      const zero = k * SHIFT_ROWS * PARAMETERS;
      const both = k * OWN_COLUMNS;
      for (let p = 0, a = 0; p < PARAMETERS; p++, a += STATE) {
        ownShift[zero + p] = R[a]!;
        ownShift[zero + PARAMETERS + p] = R[a + 1]!;
        ownShift[zero + 2 * PARAMETERS + p] = R[a]! + R[a + 1]!;
        proportionalScore[both + p] = R[a + SHARED_ERROR]!;
        // A check's shared error ends with it.
        R[a + SHARED_ERROR] = 0;
      }
      proportionalScore[both + ERROR_COLUMN] = r4;
      const n = k * STATE;
      proportionalInformation[n] = n04;
      proportionalInformation[n + 1] = n14;
      proportionalInformation[n + 2] = n24;
      proportionalInformation[n + 3] = n34;
      proportionalInformation[n + SHARED_ERROR] = n44;
      r4 = n04 = n14 = n24 = n34 = n44 = 0;
    }
  }

  /** Integrates the own numbers out under one explanation, given by its posterior. */
  given(posterior: OwnPosterior): void {
    const { rawReading, rawShift, linear, quadratic } = this;
    this.project(this.ownReading, this.readings, posterior);
    for (let i = 0; i < this.readings; i++) {
      const isDropped = rawReading[2 * i + 1] === 0;
      this.readingScore[i] = isDropped ? 0 : rawReading[2 * i]! - linear[i]!;
      this.readingInformation[i] = isDropped ? 0 : Math.max(0, rawReading[2 * i + 1]! - quadratic[i]!);
    }
    this.project(this.ownShift, SHIFT_ROWS * this.checks, posterior);
    for (let k = 0; k < this.checks; k++) {
      const c = k * RAW_SHIFT;
      const zero = k * SHIFT_ROWS;
      const ofZero = quadratic[zero]!;
      const ofSpan = quadratic[zero + 1]!;
      this.shiftScore[2 * k] = rawShift[c]! - linear[zero]!;
      this.shiftScore[2 * k + 1] = rawShift[c + 1]! - linear[zero + 1]!;
      this.shiftInformation[3 * k] = Math.max(0, rawShift[c + 2]! - ofZero);
      this.shiftInformation[3 * k + 1] = Math.max(0, rawShift[c + 3]! - ofSpan);
      this.shiftInformation[3 * k + 2] = rawShift[c + 4]! - 0.5 * (quadratic[zero + 2]! - ofZero - ofSpan);
    }
  }

  /** a'm and a'Ca of every row a of a list, written out: this runs once a reading. */
  private project(rows: Float64Array, count: number, { mean, covariance }: OwnPosterior): void {
    const { linear, quadratic, twice: C } = this;
    for (let p = 0, m = 0; p < PARAMETERS; p++) {
      for (let j = 0; j <= p; j++, m++) C[m] = (j < p ? 2 : 1) * covariance[p * PARAMETERS + j]!;
    }
    for (let i = 0, o = 0; i < count; i++, o += PARAMETERS) {
      const a0 = rows[o + 0]!;
      const a1 = rows[o + 1]!;
      const a2 = rows[o + 2]!;
      const a3 = rows[o + 3]!;
      const a4 = rows[o + 4]!;
      const a5 = rows[o + 5]!;
      const a6 = rows[o + 6]!;
      const a7 = rows[o + 7]!;
      const a8 = rows[o + 8]!;
      linear[i] =
        a0 * mean[0]! +
        a1 * mean[1]! +
        a2 * mean[2]! +
        a3 * mean[3]! +
        a4 * mean[4]! +
        a5 * mean[5]! +
        a6 * mean[6]! +
        a7 * mean[7]! +
        a8 * mean[8]!;
      quadratic[i] =
        a0 * (C[0]! * a0) +
        a1 * (C[1]! * a0 + C[2]! * a1) +
        a2 * (C[3]! * a0 + C[4]! * a1 + C[5]! * a2) +
        a3 * (C[6]! * a0 + C[7]! * a1 + C[8]! * a2 + C[9]! * a3) +
        a4 * (C[10]! * a0 + C[11]! * a1 + C[12]! * a2 + C[13]! * a3 + C[14]! * a4) +
        a5 * (C[15]! * a0 + C[16]! * a1 + C[17]! * a2 + C[18]! * a3 + C[19]! * a4 + C[20]! * a5) +
        a6 *
          (C[21]! * a0 + C[22]! * a1 + C[23]! * a2 + C[24]! * a3 + C[25]! * a4 + C[26]! * a5 + C[27]! * a6) +
        a7 *
          (C[28]! * a0 +
            C[29]! * a1 +
            C[30]! * a2 +
            C[31]! * a3 +
            C[32]! * a4 +
            C[33]! * a5 +
            C[34]! * a6 +
            C[35]! * a7) +
        a8 *
          (C[36]! * a0 +
            C[37]! * a1 +
            C[38]! * a2 +
            C[39]! * a3 +
            C[40]! * a4 +
            C[41]! * a5 +
            C[42]! * a6 +
            C[43]! * a7 +
            C[44]! * a8);
    }
  }

  private prepare(life: LifeChecks): void {
    const readings = life.error.length;
    const checks = life.checks;
    this.readings = readings;
    this.checks = checks;
    if (this.linear.length < Math.max(readings, SHIFT_ROWS * checks)) {
      this.linear = new Float64Array(Math.max(readings, SHIFT_ROWS * checks));
      this.quadratic = new Float64Array(this.linear.length);
    }
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
      this.ownShift = new Float64Array(SHIFT_ROWS * PARAMETERS * checks);
      this.proportionalScore = new Float64Array(OWN_COLUMNS * checks);
      this.proportionalInformation = new Float64Array(STATE * checks);
    }
  }
}
