import { factorise } from "./cholesky.ts";
import { ACCELERATION, curvatureLoading, frictionLoading, PARAMETERS, RATE } from "./components.ts";
import type { UnitState } from "./present-state.ts";
import { EvenNormals, NormalStream } from "./random.ts";

/** Torques at which the unit is judged, as fractions, with the tolerance there. Unit: % of full scale. */
export interface JudgedBands {
  readonly torque: readonly number[];
  readonly tolerance: readonly number[];
}

export interface ForwardModel {
  readonly bands: JudgedBands;
  readonly wander: ArrayLike<number>;
  readonly stepsPerYear: number;
  readonly stepZero: number;
  readonly stepSpan: number;
}

/** What happens to a unit from one moment on, as far as simulated paths tell. */
export interface ForwardResult {
  /** Probability to have left tolerance on some day from the first judged time up to each time. */
  readonly outBy: Float64Array;
  /** Probability, per band, that it is the first to leave, within the last time. */
  readonly firstBand: Float64Array;
}

/** A bridge less likely to cross than exp(-this) is not asked. */
const BRIDGE_LIMIT = 20;

/**
 * Simulates a unit's error forward from a normally distributed state, and counts the paths that leave tolerance.
 *
 * @remarks
 * Between two times a path that is within tolerance at both may still have been outside: the chance of that is
 * added by the formula for a Brownian bridge. Paths with a sudden step are simulated apart from those without, and
 * weighed by the step's probability, so that rare steps do not depend on luck.
 *
 * Source: bridge: A. N. Borodin and P. Salminen, Handbook of Brownian Motion, 1.1.8 (maximum of a bridge).
 *
 * @param times Years from the state to each time, rising; judged from the first one on.
 * @param paths How many paths without a step; half as many with one.
 */
export function simulateForward(
  state: UnitState,
  model: ForwardModel,
  times: Float64Array,
  paths: number,
  seed: number,
): ForwardResult {
  const last = times[times.length - 1]!;
  const stepChance = 1 - Math.exp(-model.stepsPerYear * last);
  const run = new PathRun(state, model, times, seed);
  for (let path = 0; path < paths; path++) {
    run.add((1 - stepChance) / paths, Number.POSITIVE_INFINITY);
  }
  if (stepChance > 0) {
    const withStep = Math.max(16, paths >> 1);
    for (let path = 0; path < withStep; path++) {
      run.add(stepChance / withStep, (last * (path + 0.5)) / withStep);
    }
  }
  return { outBy: run.outBy, firstBand: run.firstBand };
}

/** Standard deviations that count as never. */
const NEVER = 4.5;

/** Whether a unit that drifts and wanders from this state, but does not step, cannot leave tolerance within a time. */
export function isFarFromLimits(state: UnitState, model: ForwardModel, years: number): boolean {
  return model.bands.torque.every((x, b) => {
    const rows = parabolaRows(x);
    const [start, rate, bend] = rows.map((row) => dot(row, state.mean));
    const covariance = rows.map((row) => rows.map((other) => quadratic(row, state.covariance, other)));
    const wander = loadingsAt(x).reduce((sum, h, c) => sum + h * h * model.wander[c]!, 0);
    for (let quarter = 0; quarter <= 4; quarter++) {
      const t = (years * quarter) / 4;
      const powers = [1, t, t * t];
      let variance = wander * t;
      for (let i = 0; i < 3; i++) {
        for (let j = 0; j < 3; j++) variance += powers[i]! * powers[j]! * covariance[i]![j]!;
      }
      const mean = start! + t * (rate! + t * bend!);
      if (Math.abs(mean) + NEVER * Math.sqrt(Math.max(0, variance)) > model.bands.tolerance[b]!) return false;
    }
    return true;
  });
}

function dot(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let p = 0; p < PARAMETERS; p++) sum += a[p]! * b[p]!;
  return sum;
}

/** a' M b. */
function quadratic(a: Float64Array, matrix: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let p = 0; p < PARAMETERS; p++) {
    if (a[p] === 0) continue;
    for (let q = 0; q < PARAMETERS; q++) sum += a[p]! * matrix[p * PARAMETERS + q]! * b[q]!;
  }
  return sum;
}

/**
 * Adds up paths, band by band: a path's error in each band is a parabola in time, fixed by the state it starts from,
 * plus the wander and the step that the bands share through the four components.
 */
class PathRun {
  readonly outBy: Float64Array;
  readonly firstBand: Float64Array;
  private readonly times: Float64Array;
  private readonly tolerance: Float64Array;
  private readonly normal: NormalStream;
  private readonly even: EvenNormals;
  /** Start, rate and half the acceleration of each band's error on average, three numbers a band ... */
  private readonly mean: Float64Array;
  /** ... and what each of the state's independent parts adds to them. */
  private readonly spread: Float64Array;
  /** Cholesky factor of the bands' wander in one year, and its variance in each band. */
  private readonly wander: Float64Array;
  /** Per time: the root of the years since the time before, and 2 / the wander's variance in each band over them. */
  private readonly rootYears: Float64Array;
  private readonly bridge: Float64Array;
  private readonly stepZeroSd: number;
  /** What a step of one standard deviation of span does in each band. */
  private readonly stepSpan: Float64Array;
  private readonly z = new Float64Array(PARAMETERS);
  private readonly parabola: Float64Array;
  private readonly wandered: Float64Array;
  private readonly before: Float64Array;

  constructor(state: UnitState, model: ForwardModel, times: Float64Array, seed: number) {
    const { torque, tolerance } = model.bands;
    const bands = torque.length;
    this.times = times;
    this.tolerance = Float64Array.from(tolerance);
    this.normal = new NormalStream(seed);
    this.even = new EvenNormals(PARAMETERS, seed);
    this.outBy = new Float64Array(times.length);
    this.firstBand = new Float64Array(bands);
    this.parabola = new Float64Array(3 * bands);
    this.wandered = new Float64Array(bands);
    this.before = new Float64Array(bands);
    this.mean = new Float64Array(3 * bands);
    this.spread = new Float64Array(3 * bands * PARAMETERS);
    const factor = spreadFactor(state.covariance, PARAMETERS);
    torque.forEach((x, b) => {
      parabolaRows(x).forEach((row, k) => {
        for (let p = 0; p < PARAMETERS; p++) {
          this.mean[3 * b + k]! += row[p]! * state.mean[p]!;
          for (let j = 0; j <= p; j++) {
            this.spread[(3 * b + k) * PARAMETERS + j]! += row[p]! * factor[p * PARAMETERS + j]!;
          }
        }
      });
    });
    const wander = torque.flatMap((a) =>
      torque.map((b) => {
        const [ha, hb] = [loadingsAt(a), loadingsAt(b)];
        return ha.reduce((sum, h, c) => sum + h * hb[c]! * model.wander[c]!, 0);
      }),
    );
    const gaps = times.map((t, g) => t - (g > 0 ? times[g - 1]! : 0));
    this.rootYears = gaps.map(Math.sqrt);
    this.bridge = Float64Array.from(
      { length: times.length * bands },
      (_, i) => 2 / (wander[(i % bands) * (bands + 1)]! * gaps[Math.floor(i / bands)]!),
    );
    this.wander = spreadFactor(Float64Array.from(wander), bands);
    this.stepZeroSd = Math.sqrt(model.stepZero);
    this.stepSpan = Float64Array.from(torque, (x) => x * Math.sqrt(model.stepSpan));
  }

  /** One path with a weight; a step happens at the first time from `stepAt` on. */
  add(weight: number, stepAt: number): void {
    const { times, rootYears, bridge, normal, wander, tolerance, parabola, wandered, before, outBy } = this;
    const bands = tolerance.length;
    this.startPath();
    let inside = weight;
    let stepped = false;
    for (let g = 0; g < times.length; g++) {
      const t = times[g]!;
      const root = rootYears[g]!;
      if (root > 0) {
        for (let j = 0; j < bands; j++) {
          const z = root * normal.next();
          for (let b = j; b < bands; b++) wandered[b]! += wander[b * bands + j]! * z;
        }
      }
      if (!stepped && t >= stepAt) {
        stepped = true;
        const zero = this.stepZeroSd * normal.next();
        const span = normal.next();
        for (let b = 0; b < bands; b++) wandered[b]! += zero + this.stepSpan[b]! * span;
      }
      // The bands share their wander: the likeliest to have left stands for all.
      let worst = -1;
      let chance = 0;
      for (let b = 0; b < bands; b++) {
        const o = 3 * b;
        const error = parabola[o]! + t * (parabola[o + 1]! + t * parabola[o + 2]!) + wandered[b]!;
        const above = tolerance[b]! - error;
        const below = tolerance[b]! + error;
        let p = 0;
        // Of bands that are out already, the furthest out counts as the first.
        if (above < 0 || below < 0) p = Math.abs(error) / tolerance[b]!;
        else if (g > 0) {
          const scale = bridge[g * bands + b]!;
          const up = scale * above * (tolerance[b]! - before[b]!);
          const down = scale * below * (tolerance[b]! + before[b]!);
          if (up < BRIDGE_LIMIT) p += Math.exp(-up);
          if (down < BRIDGE_LIMIT) p += Math.exp(-down);
        }
        before[b] = error;
        if (p > chance) {
          chance = p;
          worst = b;
        }
      }
      if (worst >= 0) {
        const left = inside * Math.min(1, chance);
        this.firstBand[worst]! += left;
        inside -= left;
        if (!(inside > 0)) {
          for (let rest = g; rest < times.length; rest++) outBy[rest]! += weight;
          return;
        }
      }
      outBy[g]! += weight - inside;
    }
  }

  private startPath(): void {
    const { z, mean, spread, parabola } = this;
    this.even.next(z);
    this.wandered.fill(0);
    for (let k = 0; k < parabola.length; k++) {
      let sum = mean[k]!;
      for (let j = 0; j < PARAMETERS; j++) sum += spread[k * PARAMETERS + j]! * z[j]!;
      parabola[k] = sum;
    }
  }
}

function loadingsAt(x: number): readonly number[] {
  return [1, x, curvatureLoading(x), frictionLoading(x)];
}

/** How the state's numbers make the start, the rate and half the acceleration of the error at torque fraction x. */
function parabolaRows(x: number): readonly Float64Array[] {
  const rows = [0, 1, 2].map(() => new Float64Array(PARAMETERS));
  loadingsAt(x).forEach((h, c) => {
    rows[0]![c] = h;
    rows[1]![RATE + c] = h;
  });
  rows[2]![ACCELERATION] = 0.5 * x;
  return rows;
}

/** Cholesky factor of a covariance that may lack rank, by rounding or because nothing varies. */
function spreadFactor(covariance: Float64Array, n: number): Float64Array {
  const factor = Float64Array.from(covariance);
  if (!factorise(factor, n)) {
    factor.set(covariance);
    for (let i = 0; i < n; i++) {
      factor[i * (n + 1)] = Math.max(factor[i * (n + 1)]!, 0) * (1 + 1e-6) + 1e-9;
    }
    if (!factorise(factor, n)) factor.fill(0);
  }
  for (let i = 0; i < n; i++) factor.fill(0, i * n + i + 1, (i + 1) * n);
  return factor;
}
