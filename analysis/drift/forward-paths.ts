import { factorise } from "./cholesky.ts";
import {
  ACCELERATION,
  COMPONENT,
  COMPONENTS,
  curvatureLoading,
  frictionLoading,
  PARAMETERS,
  RATE,
} from "./components.ts";
import type { UnitState } from "./present-state.ts";
import { EvenNormals, NormalStream } from "./random.ts";
import { errorAhead, projected } from "./state-ahead.ts";

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
  const { torque, tolerance } = model.bands;
  for (let quarter = 0; quarter <= 4; quarter++) {
    for (let b = 0; b < torque.length; b++) {
      const { row, wander } = errorAhead(model, torque[b]!, (years * quarter) / 4);
      const { mean, variance } = projected(state, row);
      if (Math.abs(mean) + NEVER * Math.sqrt(variance + wander) > tolerance[b]!) return false;
    }
  }
  return true;
}

class PathRun {
  readonly outBy: Float64Array;
  readonly firstBand: Float64Array;
  private readonly s = new Float64Array(PARAMETERS);
  private readonly z = new Float64Array(PARAMETERS);
  private readonly before: Float64Array;
  private readonly mean: Float64Array;
  private readonly factor: Float64Array;
  private readonly times: Float64Array;
  private readonly normal: NormalStream;
  private readonly even: EvenNormals;
  private readonly loading: Float64Array;
  private readonly tolerance: Float64Array;
  private readonly wanderSd: Float64Array;
  private readonly bandWander: Float64Array;
  private readonly stepZeroSd: number;
  private readonly stepSpanSd: number;

  constructor(state: UnitState, model: ForwardModel, times: Float64Array, seed: number) {
    const { torque, tolerance } = model.bands;
    this.mean = state.mean;
    this.factor = spreadFactor(state.covariance);
    this.times = times;
    this.normal = new NormalStream(seed);
    this.even = new EvenNormals(PARAMETERS, seed);
    this.outBy = new Float64Array(times.length);
    this.firstBand = new Float64Array(torque.length);
    this.before = new Float64Array(torque.length);
    this.tolerance = Float64Array.from(tolerance);
    this.loading = Float64Array.from(torque.flatMap((x) => [1, x, curvatureLoading(x), frictionLoading(x)]));
    this.wanderSd = Float64Array.from(model.wander, Math.sqrt);
    this.bandWander = Float64Array.from(torque, (_, b) => {
      let sum = 0;
      for (let c = 0; c < COMPONENTS; c++) sum += this.loading[b * COMPONENTS + c]! ** 2 * model.wander[c]!;
      return sum;
    });
    this.stepZeroSd = Math.sqrt(model.stepZero);
    this.stepSpanSd = Math.sqrt(model.stepSpan);
  }

  /** One path with a weight; a step happens at the first time from `stepAt` on. */
  add(weight: number, stepAt: number): void {
    const { s, z, mean, factor, times, normal, loading, tolerance, outBy, before, wanderSd, bandWander } =
      this;
    const bands = tolerance.length;
    this.even.next(z);
    for (let i = 0; i < PARAMETERS; i++) {
      let sum = mean[i]!;
      for (let j = 0; j <= i; j++) sum += factor[i * PARAMETERS + j]! * z[j]!;
      s[i] = sum;
    }
    const acceleration = s[ACCELERATION]!;
    let inside = weight;
    let t = 0;
    let stepped = false;
    for (let g = 0; g < times.length; g++) {
      const d = times[g]! - t;
      t = times[g]!;
      if (d > 0) {
        const root = Math.sqrt(d);
        for (let c = 0; c < COMPONENTS; c++) s[c]! += s[RATE + c]! * d + wanderSd[c]! * root * normal.next();
        s[COMPONENT.span]! += 0.5 * acceleration * d * d;
        s[RATE + COMPONENT.span]! += acceleration * d;
      }
      if (!stepped && t >= stepAt) {
        stepped = true;
        s[COMPONENT.zero]! += this.stepZeroSd * normal.next();
        s[COMPONENT.span]! += this.stepSpanSd * normal.next();
      }
      // The bands share their wander: the likeliest to have left stands for all.
      let worst = -1;
      let chance = 0;
      for (let b = 0; b < bands; b++) {
        const o = b * COMPONENTS;
        const error =
          loading[o]! * s[0]! + loading[o + 1]! * s[1]! + loading[o + 2]! * s[2]! + loading[o + 3]! * s[3]!;
        const above = tolerance[b]! - error;
        const below = tolerance[b]! + error;
        let p = 0;
        // Of bands that are out already, the furthest out counts as the first.
        if (above < 0 || below < 0) p = Math.abs(error) / tolerance[b]!;
        else if (g > 0) {
          const scale = 2 / (bandWander[b]! * d);
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
}

/** Cholesky factor of a covariance that may lack rank by rounding. */
function spreadFactor(covariance: Float64Array): Float64Array {
  const factor = Float64Array.from(covariance);
  if (factorise(factor, PARAMETERS)) return factor;
  factor.set(covariance);
  for (let i = 0; i < PARAMETERS; i++) {
    const at = i * (PARAMETERS + 1);
    factor[at] = Math.max(factor[at]!, 0) * (1 + 1e-6) + 1e-9;
  }
  if (!factorise(factor, PARAMETERS)) factor.fill(0);
  return factor;
}
