import { factorise, inverseFromFactor } from "../drift/cholesky.ts";
import { COMPONENTS } from "../drift/components.ts";
import type { LifeChecks } from "../drift/life-checks.ts";
import type { LifeEvents, LifeNoise } from "../drift/life-filter.ts";
import type { OwnPrior } from "../drift/own-posterior.ts";
import type { NormalStream } from "../drift/random.ts";

/** Variance at which a level counts as known. */
const NEGLIGIBLE = 1e-12;

/** Filter's state: the four components, and what a check's readings share. */
const STATE = COMPONENTS + 1;

/** How far a component has moved since the life's start, wander apart. Times in years. */
export type Drift = (year: number, component: number) => number;

/**
 * Draws ways that a unit's four components may have gone through one life, given all its checks and how fast each
 * component moved.
 *
 * @remarks
 * With the rates given, the components are a random walk with known drift: the filter's gains are the same for every
 * draw and are worked out once. A draw filters its own means forward, then walks back from the last check, each level
 * given the next one. What lots and baths added is given with each draw.
 *
 * Source: forward filtering, backward sampling: S. Fruehwirth-Schnatter, Data augmentation and dynamic linear models,
 * Journal of Time Series Analysis 15 (1994) 183-202.
 */
export class LevelSampler {
  readonly #life: LifeChecks;
  readonly #start: OwnPrior;
  /** Per reading: gains, {@link STATE} each; 0 where dropped. */
  readonly #gain: Float64Array;
  /** Per check k (0: the life's start): weight of the next level, 4 x 4, and factor of what is then left open. */
  readonly #back: Float64Array[] = [];
  readonly #spread: Float64Array[] = [];
  /** Factor of the covariance at the last check. */
  readonly #lastSpread: Float64Array;

  /** @param start Belief about the four levels at the life's start; the other numbers are not looked at. */
  constructor(life: LifeChecks, noise: LifeNoise, events: LifeEvents, start: OwnPrior) {
    this.#life = life;
    this.#start = start;
    this.#gain = new Float64Array(life.error.length * STATE);
    const dropped = new Set(events.dropped);
    const steps = new Set(events.stepBefore);
    const P = new Float64Array(STATE * STATE);
    for (let c = 0; c < COMPONENTS; c++) P[c * (STATE + 1)] = start.variance[c]!;
    let before = 0;
    for (let k = 0; k < life.checks; k++) {
      const filtered = levelsOf(P);
      const grown = Float64Array.from(noise.wander, (w) => w * (life.year[k]! - before));
      if (steps.has(k)) {
        grown[0]! += noise.stepZero;
        grown[1]! += noise.stepSpan;
      }
      before = life.year[k]!;
      this.#keepWayBack(filtered, grown);
      for (let c = 0; c < COMPONENTS; c++) P[c * (STATE + 1)]! += grown[c]!;
      this.#takeCheck(P, k, noise, dropped);
    }
    this.#lastSpread = spreadOf(levelsOf(P));
  }

  /**
   * One draw: the four components at the life's start and at each check.
   *
   * @param error The life's readings without shared causes. Unit: % of full scale.
   * @param drift Movement of each component from the life's start, without wander, at a time in years.
   * @returns Shape: (checks + 1) x 4, by rows. Unit: % of full scale.
   */
  draw(error: Float64Array, drift: Drift, normal: NormalStream): Float64Array {
    const n = COMPONENTS;
    const { checks } = this.#life;
    const moved = this.#moves(drift);
    const means = this.#filterMeans(error, moved);
    const path = new Float64Array((checks + 1) * n);
    const z = new Float64Array(n);
    const open = new Float64Array(n);
    const ahead = new Float64Array(n);
    const scatter = (factor: Float64Array) => {
      for (let c = 0; c < n; c++) z[c] = normal.next();
      for (let c = 0; c < n; c++) {
        let sum = 0;
        for (let d = 0; d <= c; d++) sum += factor[c * n + d]! * z[d]!;
        open[c] = sum;
      }
    };
    scatter(this.#lastSpread);
    for (let c = 0; c < n; c++) path[checks * n + c] = means[checks * n + c]! + open[c]!;
    for (let k = checks - 1; k >= 0; k--) {
      const back = this.#back[k]!;
      scatter(this.#spread[k]!);
      for (let d = 0; d < n; d++) ahead[d] = path[(k + 1) * n + d]! - means[k * n + d]! - moved[k * n + d]!;
      for (let c = 0; c < n; c++) {
        let value = means[k * n + c]! + open[c]!;
        for (let d = 0; d < n; d++) value += back[c * n + d]! * ahead[d]!;
        path[k * n + c] = value;
      }
    }
    return path;
  }

  /** Drift of each component up to each check from the check before. Shape: checks x 4. */
  #moves(drift: Drift): Float64Array {
    const { checks, year } = this.#life;
    const moved = new Float64Array(checks * COMPONENTS);
    for (let k = 0; k < checks; k++) {
      for (let c = 0; c < COMPONENTS; c++) {
        moved[k * COMPONENTS + c] = drift(year[k]!, c) - drift(k > 0 ? year[k - 1]! : 0, c);
      }
    }
    return moved;
  }

  /** Filtered means at the start and after each check. */
  #filterMeans(error: Float64Array, moved: Float64Array): Float64Array {
    const { checks, firstReading, span, curvature, friction } = this.#life;
    const gain = this.#gain;
    const means = new Float64Array((checks + 1) * COMPONENTS);
    let [m0, m1, m2, m3] = [0, 1, 2, 3].map((c) => this.#start.mean[c]!) as [number, number, number, number];
    means.set([m0, m1, m2, m3]);
    for (let k = 0; k < checks; k++) {
      const at = k * COMPONENTS;
      m0 += moved[at]!;
      m1 += moved[at + 1]!;
      m2 += moved[at + 2]!;
      m3 += moved[at + 3]!;
      // What the readings of this check share.
      let m4 = 0;
      for (let r = firstReading[k]!; r < firstReading[k + 1]!; r++) {
        const x = span[r]!;
        const expected = m0 + x * (m1 + m4) + curvature[r]! * m2 + friction[r]! * m3;
        const off = error[r]! - expected;
        const g = r * STATE;
        m0 += gain[g]! * off;
        m1 += gain[g + 1]! * off;
        m2 += gain[g + 2]! * off;
        m3 += gain[g + 3]! * off;
        m4 += gain[g + 4]! * off;
      }
      means[at + COMPONENTS] = m0;
      means[at + COMPONENTS + 1] = m1;
      means[at + COMPONENTS + 2] = m2;
      means[at + COMPONENTS + 3] = m3;
    }
    return means;
  }

  #takeCheck(P: Float64Array, k: number, noise: LifeNoise, dropped: ReadonlySet<number>): void {
    const life = this.#life;
    const b = life.coefficient[k]!;
    const temperature = life.temperatureKnown[k] ? noise.temperature : noise.unrecordedTemperature;
    for (let c = 0; c < COMPONENTS; c++) P[c * STATE + COMPONENTS] = P[COMPONENTS * STATE + c] = 0;
    P[STATE * STATE - 1] = noise.proportional + b * b * temperature;
    const p = new Float64Array(STATE);
    for (let r = life.firstReading[k]!; r < life.firstReading[k + 1]!; r++) {
      if (dropped.has(r)) continue;
      const h = [1, life.span[r]!, life.curvature[r]!, life.friction[r]!, life.span[r]!];
      let S = noise.repeatability * life.varianceFactor[r]!;
      for (let i = 0; i < STATE; i++) {
        p[i] = 0;
        for (let j = 0; j < STATE; j++) p[i]! += P[i * STATE + j]! * h[j]!;
        S += h[i]! * p[i]!;
      }
      for (let i = 0; i < STATE; i++) this.#gain[r * STATE + i] = p[i]! / S;
      for (let i = 0; i < STATE; i++) {
        for (let j = 0; j < STATE; j++) P[i * STATE + j]! -= (p[i]! * p[j]!) / S;
      }
    }
  }

  /** Level k given level k + 1: its weight is C (C + Q)^-1, and what is left open C - C (C + Q)^-1 C. */
  #keepWayBack(C: Float64Array, grown: Float64Array): void {
    const n = COMPONENTS;
    const sum = Float64Array.from(C);
    for (let c = 0; c < n; c++) sum[c * (n + 1)]! += grown[c]! + NEGLIGIBLE;
    const inverse = inverseFromFactor(spreadOf(sum), n);
    const back = new Float64Array(n * n);
    const open = Float64Array.from(C);
    for (let i = 0; i < n; i++) {
      for (let j = 0; j < n; j++) {
        for (let l = 0; l < n; l++) back[i * n + j]! += C[i * n + l]! * inverse[l * n + j]!;
      }
      for (let j = 0; j < n; j++) {
        for (let l = 0; l < n; l++) open[i * n + j]! -= back[i * n + l]! * C[l * n + j]!;
      }
    }
    this.#back.push(back);
    this.#spread.push(spreadOf(open));
  }
}

function levelsOf(P: Float64Array): Float64Array {
  const levels = new Float64Array(COMPONENTS * COMPONENTS);
  for (let i = 0; i < COMPONENTS; i++) {
    for (let j = 0; j < COMPONENTS; j++) levels[i * COMPONENTS + j] = P[i * STATE + j]!;
  }
  return levels;
}

/** Cholesky factor of a covariance that rounding may have brought to the edge. */
function spreadOf(covariance: Float64Array): Float64Array {
  const factor = Float64Array.from(covariance);
  for (let c = 0; c < COMPONENTS; c++) factor[c * (COMPONENTS + 1)]! += NEGLIGIBLE;
  if (factorise(factor, COMPONENTS)) return factor;
  factor.fill(0);
  for (let c = 0; c < COMPONENTS; c++) {
    factor[c * (COMPONENTS + 1)] = Math.sqrt(Math.max(0, covariance[c * (COMPONENTS + 1)]!));
  }
  return factor;
}
