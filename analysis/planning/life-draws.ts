import { factoriseOrThrow, solveLower, solveUpper } from "../drift/cholesky.ts";
import { ACCELERATION, COMPONENT, PARAMETERS, RATE } from "../drift/components.ts";
import { type LifeChecks, withoutShared } from "../drift/life-checks.ts";
import { ERROR_COLUMN } from "../drift/life-filter.ts";
import type { OwnPrior } from "../drift/own-posterior.ts";
import type { NormalStream } from "../drift/random.ts";
import type { EffectBelief, JointInformation } from "../drift/shared-causes.ts";
import type { Drift } from "./level-sampler.ts";

/** One way in which a life may have gone, its wander apart. */
export interface LifeDraw {
  /** The life's readings without what lots and baths added in this way. Unit: % of full scale. */
  readonly error: Float64Array;
  readonly drift: Drift;
}

const FIRST_EFFECT = PARAMETERS + 1;
const at = (i: number, j: number) => (i * (i + 1)) / 2 + j;

/**
 * Draws a life's rates and the errors of its lots and baths together, from the life's readings and what the rest of
 * the fleet says: a lot that read high and a unit that drifted up stand in for each other, so neither is drawn alone.
 *
 * @remarks Normal distribution with the precision of the mixed model's equations, wander and scatter integrated out.
 */
export class LifeDraws {
  readonly #life: LifeChecks;
  readonly #effects: Int32Array;
  /** By number of the effect, as drawn last. */
  readonly #shared: Float64Array;
  readonly #mean: Float64Array;
  /** Lower factor of the precision. */
  readonly #factor: Float64Array;

  constructor(
    life: LifeChecks,
    { products, effects }: JointInformation,
    prior: OwnPrior,
    belief: EffectBelief,
  ) {
    const k = effects.length;
    const n = PARAMETERS + k;
    const column = (i: number) => (i < PARAMETERS ? i : FIRST_EFFECT + i - PARAMETERS);
    const factor = new Float64Array(n * n);
    const mean = new Float64Array(n);
    for (let i = 0; i < n; i++) {
      for (let j = 0; j <= i; j++) factor[i * n + j] = products[at(column(i), column(j))]!;
      mean[i] = products[i < PARAMETERS ? at(ERROR_COLUMN, i) : at(column(i), ERROR_COLUMN)]!;
    }
    for (let p = 0; p < PARAMETERS; p++) {
      factor[p * n + p]! += 1 / prior.variance[p]!;
      mean[p]! += prior.mean[p]! / prior.variance[p]!;
    }
    for (let e = 0; e < k; e++) {
      const row = (PARAMETERS + e) * n + PARAMETERS;
      for (let f = 0; f <= e; f++) factor[row + f]! += belief.precision[e * k + f]!;
      mean[PARAMETERS + e]! += belief.pull[e]!;
    }
    factoriseOrThrow(factor, n, "LifeDraws", "a prior without spread");
    solveLower(factor, n, mean);
    solveUpper(factor, n, mean);
    this.#life = life;
    this.#effects = effects;
    this.#shared = new Float64Array(effects.reduce((most, effect) => Math.max(most, effect), -1) + 1);
    this.#mean = mean;
    this.#factor = factor;
  }

  next(normal: NormalStream): LifeDraw {
    const n = this.#mean.length;
    const drawn = new Float64Array(n);
    for (let i = 0; i < n; i++) drawn[i] = normal.next();
    solveUpper(this.#factor, n, drawn);
    const mean = this.#mean;
    for (let i = 0; i < n; i++) drawn[i]! += mean[i]!;
    const effects = this.#effects;
    const shared = this.#shared;
    for (let e = 0; e < effects.length; e++) shared[effects[e]!] = drawn[PARAMETERS + e]!;
    const acceleration = drawn[ACCELERATION]!;
    return {
      error: withoutShared(this.#life, shared),
      drift: (year, c) =>
        drawn[RATE + c]! * year + (c === COMPONENT.span ? 0.5 * acceleration * year * year : 0),
    };
  }
}
