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
    const { checks, year } = this.#life;
    const means = this.#filterMeans(error, drift);
    const path = new Float64Array((checks + 1) * COMPONENTS);
    const level = means.subarray(checks * COMPONENTS);
    const z = new Float64Array(COMPONENTS);
    const open = new Float64Array(COMPONENTS);
    const scatter = (factor: Float64Array) => {
      for (let c = 0; c < COMPONENTS; c++) z[c] = normal.next();
      for (let c = 0; c < COMPONENTS; c++) {
        open[c] = 0;
        for (let d = 0; d <= c; d++) open[c]! += factor[c * COMPONENTS + d]! * z[d]!;
      }
    };
    scatter(this.#lastSpread);
    for (let c = 0; c < COMPONENTS; c++) path[checks * COMPONENTS + c] = level[c]! + open[c]!;
    for (let k = checks - 1; k >= 0; k--) {
      const back = this.#back[k]!;
      scatter(this.#spread[k]!);
      for (let c = 0; c < COMPONENTS; c++) {
        let value = means[k * COMPONENTS + c]! + open[c]!;
        for (let d = 0; d < COMPONENTS; d++) {
          const moved = drift(year[k]!, d) - drift(k > 0 ? year[k - 1]! : 0, d);
          value +=
            back[c * COMPONENTS + d]! *
            (path[(k + 1) * COMPONENTS + d]! - means[k * COMPONENTS + d]! - moved);
        }
        path[k * COMPONENTS + c] = value;
      }
    }
    return path;
  }

  /** Filtered means at the start and after each check. */
  #filterMeans(error: Float64Array, drift: Drift): Float64Array {
    const { checks, year, firstReading, span, curvature, friction } = this.#life;
    const means = new Float64Array((checks + 1) * COMPONENTS);
    const m = new Float64Array(STATE);
    for (let c = 0; c < COMPONENTS; c++) m[c] = this.#start.mean[c]!;
    means.set(m.subarray(0, COMPONENTS));
    for (let k = 0; k < checks; k++) {
      for (let c = 0; c < COMPONENTS; c++) {
        m[c]! += drift(year[k]!, c) - drift(k > 0 ? year[k - 1]! : 0, c);
      }
      m[COMPONENTS] = 0;
      for (let r = firstReading[k]!; r < firstReading[k + 1]!; r++) {
        const x = span[r]!;
        const expected = m[0]! + x * (m[1]! + m[4]!) + curvature[r]! * m[2]! + friction[r]! * m[3]!;
        const off = error[r]! - expected;
        for (let c = 0; c < STATE; c++) m[c]! += this.#gain[r * STATE + c]! * off;
      }
      means.set(m.subarray(0, COMPONENTS), (k + 1) * COMPONENTS);
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
