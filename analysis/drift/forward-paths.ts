import { factorise } from "./cholesky.ts";
import { ACCELERATION, curvatureLoading, frictionLoading, PARAMETERS, RATE } from "./components.ts";
import type { UnitState } from "./present-state.ts";
import { EvenNormals, NormalStream } from "./random.ts";

/** Torques at which the unit is judged, as fractions, at most three, with the tolerance there. Unit: % of full scale. */
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

/** Bands are written out below, this many. */
const BANDS = 3;

/**
 * Adds up paths, band by band: a path's error in each band is a parabola in time, fixed by the state it starts from,
 * plus the wander and the step that the bands share through the four components.
 *
 * @remarks What runs at every time of every path is written out for three bands; bands that are not there have no
 * tolerance that could be left.
 */
class PathRun {
  readonly outBy: Float64Array;
  readonly firstBand: Float64Array;
  private readonly times: Float64Array;
  private readonly tolerance = new Float64Array(BANDS).fill(Number.POSITIVE_INFINITY);
  private readonly normal: NormalStream;
  private readonly even: EvenNormals;
  /** Start, rate and half the acceleration of each band's error on average, three numbers a band ... */
  private readonly mean = new Float64Array(3 * BANDS);
  /** ... and what each of the state's independent parts adds to them. */
  private readonly spread = new Float64Array(3 * BANDS * PARAMETERS);
  /** Cholesky factor of the bands' wander in one year. */
  private readonly wander = new Float64Array(BANDS * BANDS);
  /** Per time: the root of the years since the time before, and 2 / the wander's variance in each band over them. */
  private readonly rootYears: Float64Array;
  private readonly bridge: Float64Array;
  private readonly stepZeroSd: number;
  /** What a step of one standard deviation of span does in each band. */
  private readonly stepSpan = new Float64Array(BANDS);
  private readonly z = new Float64Array(PARAMETERS);
  private readonly parabola = new Float64Array(3 * BANDS);

  constructor(state: UnitState, model: ForwardModel, times: Float64Array, seed: number) {
    const { torque, tolerance } = model.bands;
    const bands = torque.length;
    this.times = times;
    this.tolerance.set(tolerance);
    this.normal = new NormalStream(seed);
    this.even = new EvenNormals(PARAMETERS, seed);
    this.outBy = new Float64Array(times.length);
    this.firstBand = new Float64Array(bands);
    const factor = spreadFactor(state.covariance, PARAMETERS);
    torque.forEach((x, b) => {
      parabolaRows(x).forEach((row, k) => {
        for (let p = 0; p < PARAMETERS; p++) {
          if (row[p] === 0) continue;
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
    this.rootYears = new Float64Array(times.length);
    // Before the first time there is no bridge, and none over a band that is not there: as if it could not be crossed.
    this.bridge = new Float64Array(times.length * BANDS).fill(Number.POSITIVE_INFINITY);
    for (let g = 0; g < times.length; g++) {
      const gap = times[g]! - (g > 0 ? times[g - 1]! : 0);
      this.rootYears[g] = Math.sqrt(gap);
      for (let b = 0; b < bands && g > 0; b++) {
        this.bridge[g * BANDS + b] = 2 / (wander[b * (bands + 1)]! * gap);
      }
    }
    const wanderFactor = spreadFactor(Float64Array.from(wander), bands);
    for (let b = 0; b < bands; b++) {
      this.wander.set(wanderFactor.subarray(b * bands, (b + 1) * bands), b * BANDS);
      this.stepSpan[b] = torque[b]! * Math.sqrt(model.stepSpan);
    }
    this.stepZeroSd = Math.sqrt(model.stepZero);
  }

  /** One path with a weight; a step happens at the first time from `stepAt` on. */
  add(weight: number, stepAt: number): void {
    const { times, rootYears, bridge, normal, wander, stepSpan, outBy } = this;
    this.startPath();
    const start0 = this.parabola[0]!;
    const rate0 = this.parabola[1]!;
    const bend0 = this.parabola[2]!;
    const start1 = this.parabola[3]!;
    const rate1 = this.parabola[4]!;
    const bend1 = this.parabola[5]!;
    const start2 = this.parabola[6]!;
    const rate2 = this.parabola[7]!;
    const bend2 = this.parabola[8]!;
    const tolerance0 = this.tolerance[0]!;
    const tolerance1 = this.tolerance[1]!;
    const tolerance2 = this.tolerance[2]!;
    const wander00 = wander[0]!;
    const wander10 = wander[3]!;
    const wander11 = wander[4]!;
    const wander20 = wander[6]!;
    const wander21 = wander[7]!;
    const wander22 = wander[8]!;
    let wandered0 = 0;
    let wandered1 = 0;
    let wandered2 = 0;
    let before0 = 0;
    let before1 = 0;
    let before2 = 0;
    let inside = weight;
    let stepped = false;
    for (let g = 0; g < times.length; g++) {
      const t = times[g]!;
      const root = rootYears[g]!;
      if (root > 0) {
        const z0 = root * normal.next();
        const z1 = root * normal.next();
        const z2 = root * normal.next();
        wandered0 += wander00 * z0;
        wandered1 = wandered1 + wander10 * z0 + wander11 * z1;
        wandered2 = wandered2 + wander20 * z0 + wander21 * z1 + wander22 * z2;
      }
      if (!stepped && t >= stepAt) {
        stepped = true;
        const zero = this.stepZeroSd * normal.next();
        const span = normal.next();
        wandered0 += zero + stepSpan[0]! * span;
        wandered1 += zero + stepSpan[1]! * span;
        wandered2 += zero + stepSpan[2]! * span;
      }
      const error0 = start0 + t * (rate0 + t * bend0) + wandered0;
      const error1 = start1 + t * (rate1 + t * bend1) + wandered1;
      const error2 = start2 + t * (rate2 + t * bend2) + wandered2;
      const left0 = chanceToHaveLeft(error0, before0, tolerance0, bridge[3 * g]!);
      const left1 = chanceToHaveLeft(error1, before1, tolerance1, bridge[3 * g + 1]!);
      const left2 = chanceToHaveLeft(error2, before2, tolerance2, bridge[3 * g + 2]!);
      before0 = error0;
      before1 = error1;
      before2 = error2;
      // The bands share their wander: the likeliest to have left stands for all.
      let chance = left0;
      let worst = 0;
      if (left1 > chance) {
        chance = left1;
        worst = 1;
      }
      if (left2 > chance) {
        chance = left2;
        worst = 2;
      }
      if (chance > 0) {
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
    for (let k = 0; k < parabola.length; k++) {
      let sum = mean[k]!;
      for (let j = 0; j < PARAMETERS; j++) sum += spread[k * PARAMETERS + j]! * z[j]!;
      parabola[k] = sum;
    }
  }
}

/**
 * How likely a band has been left between two times; of bands that are out at the second, the further out the larger.
 *
 * @param scale 2 / the wander's variance in between.
 */
function chanceToHaveLeft(error: number, before: number, tolerance: number, scale: number): number {
  const above = tolerance - error;
  const below = tolerance + error;
  if (above < 0 || below < 0) return Math.abs(error) / tolerance;
  const up = scale * above * (tolerance - before);
  const down = scale * below * (tolerance + before);
  let p = 0;
  if (up < BRIDGE_LIMIT) p += Math.exp(-up);
  if (down < BRIDGE_LIMIT) p += Math.exp(-down);
  return p;
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
