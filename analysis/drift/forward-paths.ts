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
import { NormalStream } from "./random.ts";

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
  times: ArrayLike<number>,
  paths: number,
  seed: number,
): ForwardResult {
  const factor = Float64Array.from(state.covariance);
  if (!factorise(factor, PARAMETERS)) {
    // A number known without doubt leaves a variance of zero or a rounding error below it.
    factor.set(state.covariance);
    for (let i = 0; i < PARAMETERS; i++)
      factor[i * PARAMETERS + i] = Math.max(factor[i * PARAMETERS + i]!, 0) * (1 + 1e-9) + 1e-9;
    if (!factorise(factor, PARAMETERS)) factor.fill(0);
  }
  const last = times[times.length - 1]!;
  const stepChance = 1 - Math.exp(-model.stepsPerYear * last);
  const run = new PathRun(state, factor, model, times, new NormalStream(seed));
  const withStep = Math.max(16, paths >> 1);
  for (let path = 0; path < paths; path++) run.add(path, (1 - stepChance) / paths, Number.POSITIVE_INFINITY);
  if (stepChance > 1e-6) {
    for (let path = 0; path < withStep; path++) {
      run.add(path, stepChance / withStep, (last * (((path * 0.618034) % 1) + 0.5 / withStep)) % last);
    }
  }
  return { outBy: run.outBy, firstBand: run.firstBand };
}

class PathRun {
  readonly outBy: Float64Array;
  readonly firstBand: Float64Array;
  private readonly z = new Float64Array(PARAMETERS);
  private readonly s = new Float64Array(PARAMETERS);
  private readonly state: UnitState;
  private readonly factor: Float64Array;
  private readonly model: ForwardModel;
  private readonly times: ArrayLike<number>;
  private readonly normal: NormalStream;
  private readonly loading: Float64Array;
  private readonly wanderSd: Float64Array;
  private readonly bandWander: Float64Array;
  private readonly before: Float64Array;

  constructor(
    state: UnitState,
    factor: Float64Array,
    model: ForwardModel,
    times: ArrayLike<number>,
    normal: NormalStream,
  ) {
    this.state = state;
    this.factor = factor;
    this.model = model;
    this.times = times;
    this.normal = normal;
    const bands = model.bands.torque.length;
    this.outBy = new Float64Array(times.length);
    this.firstBand = new Float64Array(bands);
    this.before = new Float64Array(bands);
    this.loading = Float64Array.from(
      model.bands.torque.flatMap((x) => [1, x, curvatureLoading(x), frictionLoading(x)]),
    );
    this.wanderSd = Float64Array.from(model.wander, Math.sqrt);
    this.bandWander = Float64Array.from(model.bands.torque, (_, b) => {
      let sum = 0;
      for (let c = 0; c < COMPONENTS; c++) sum += this.loading[b * COMPONENTS + c]! ** 2 * model.wander[c]!;
      return sum;
    });
  }

  /** One path with a weight; a step happens at `stepAt` (years from the state). */
  add(path: number, weight: number, stepAt: number): void {
    const { z, s, factor, times, normal, model, loading, outBy, before } = this;
    const bands = model.bands.torque.length;
    normal.jump(path);
    for (let i = 0; i < PARAMETERS; i++) z[i] = normal.next();
    for (let i = 0; i < PARAMETERS; i++) {
      let sum = this.state.mean[i]!;
      for (let j = 0; j <= i; j++) sum += factor[i * PARAMETERS + j]! * z[j]!;
      s[i] = sum;
    }
    let inside = weight;
    let t = 0;
    let stepped = false;
    for (let g = 0; g < times.length; g++) {
      const d = times[g]! - t;
      t = times[g]!;
      if (d > 0) {
        const root = Math.sqrt(d);
        for (let c = 0; c < COMPONENTS; c++)
          s[c]! += s[RATE + c]! * d + this.wanderSd[c]! * root * normal.next();
        s[COMPONENT.span]! += 0.5 * s[ACCELERATION]! * d * d;
        s[RATE + COMPONENT.span]! += s[ACCELERATION]! * d;
      }
      if (!stepped && t >= stepAt) {
        stepped = true;
        s[COMPONENT.zero]! += Math.sqrt(model.stepZero) * normal.next();
        s[COMPONENT.span]! += Math.sqrt(model.stepSpan) * normal.next();
      }
      // The bands share their wander: the likeliest to have left stands for all.
      let worst = -1;
      let chance = 0;
      for (let b = 0; b < bands; b++) {
        const o = b * COMPONENTS;
        const error =
          loading[o]! * s[0]! + loading[o + 1]! * s[1]! + loading[o + 2]! * s[2]! + loading[o + 3]! * s[3]!;
        const limit = model.bands.tolerance[b]!;
        let p = 0;
        if (error > limit || error < -limit) p = 1;
        else if (g > 0 && d > 0 && this.bandWander[b]! > 0) {
          const scale = -2 / (this.bandWander[b]! * d);
          p =
            Math.exp(scale * (limit - error) * (limit - before[b]!)) +
            Math.exp(scale * (limit + error) * (limit + before[b]!));
        }
        before[b] = error;
        if (p > chance) {
          chance = p;
          worst = b;
        }
      }
      if (worst >= 0 && inside > 0) {
        const left = inside * Math.min(1, chance);
        this.firstBand[worst]! += left;
        inside -= left;
      }
      outBy[g]! += weight - inside;
      if (!(inside > 0)) {
        for (let rest = g + 1; rest < times.length; rest++) outBy[rest]! += weight;
        return;
      }
    }
  }
}
