import { factorise, factoriseOrThrow, inverseFromFactor, solveLower } from "./cholesky.ts";
import { PARAMETERS } from "./components.ts";
import type { EffectEstimates } from "./effect-blocks.ts";
import type { JointColumns } from "./joint-columns.ts";
import type { Explanation } from "./kinds.ts";
import { ERROR_COLUMN } from "./life-filter.ts";
import { type OwnInformation, type OwnPrior, ownPosterior } from "./own-posterior.ts";
import { KIND_PARAMETER } from "./population.ts";

const LOG_TWO_PI = Math.log(2 * Math.PI);

/** What one life's readings say about its own nine numbers and the shared effects it touched, jointly. */
export interface JointInformation {
  /** Numbers of the touched effects in the fleet's design. */
  readonly effects: Int32Array;
  /** Lower triangle by rows over own numbers, error, touched effects: the filter's. */
  readonly products: Float64Array;
  readonly logVariance: number;
  readonly used: number;
}

/** Copies the information out of a life's columns after they have been joined. */
export function jointInformation(joined: JointColumns, effects: Int32Array): JointInformation {
  const n = joined.columns;
  return {
    effects,
    products: joined.information.slice(0, (n * (n + 1)) / 2),
    logVariance: joined.logVariance,
    used: joined.used,
  };
}

const FIRST_EFFECT = PARAMETERS + 1;
const at = (i: number, j: number) => (i * (i + 1)) / 2 + j;

/** The own numbers' information where every shared effect is 0. */
function informationAtZero({ products, logVariance, used }: JointInformation): OwnInformation {
  const matrix = new Float64Array(PARAMETERS * PARAMETERS);
  const vector = new Float64Array(PARAMETERS);
  for (let i = 0; i < PARAMETERS; i++) {
    vector[i] = products[at(ERROR_COLUMN, i)]!;
    for (let j = 0; j <= i; j++) {
      matrix[i * PARAMETERS + j] = products[at(i, j)]!;
      matrix[j * PARAMETERS + i] = products[at(i, j)]!;
    }
  }
  const squares = products[at(ERROR_COLUMN, ERROR_COLUMN)]!;
  return { matrix, vector, logLikelihoodAtZero: -0.5 * (used * LOG_TWO_PI + logVariance + squares) };
}

/** The own numbers' information once the shared effects have these values (indexed by the fleet's numbers). */
export function informationGiven(joint: JointInformation, effectValue: ArrayLike<number>): OwnInformation {
  const { products, effects } = joint;
  const { matrix, vector, logLikelihoodAtZero } = informationAtZero(joint);
  let change = 0;
  for (let e = 0; e < effects.length; e++) {
    const row = FIRST_EFFECT + e;
    const u = effectValue[effects[e]!]!;
    if (u === 0) continue;
    for (let i = 0; i < PARAMETERS; i++) vector[i]! -= u * products[at(row, i)]!;
    let inner = u * products[at(row, row)]! - 2 * products[at(row, ERROR_COLUMN)]!;
    for (let f = 0; f < e; f++) inner += 2 * effectValue[effects[f]!]! * products[at(row, FIRST_EFFECT + f)]!;
    change += u * inner;
  }
  return { matrix, vector, logLikelihoodAtZero: logLikelihoodAtZero - 0.5 * change };
}

/** What one life's readings say about its shared effects, its own numbers integrated out. */
export interface EffectInformation {
  readonly effects: Int32Array;
  /** Row-major, symmetric. */
  readonly matrix: Float64Array;
  readonly vector: Float64Array;
}

/**
 * Integrates the own numbers out: `Z' V^-1 Z` and `Z' V^-1 (y - X m)`, averaged over the life's explanations.
 *
 * @remarks The explanations differ in one number's prior each, so that each adds a change of rank one.
 *
 * Source: absorption of a block in Henderson's mixed model equations.
 *
 * @param explanations With the weights they have after the life's readings.
 * @param covariance Of the own numbers if the life is sound, where it is known already.
 */
export function effectInformation(
  joint: JointInformation,
  sound: OwnPrior,
  explanations: readonly Explanation[],
  covariance: Float64Array = ownPosterior(informationAtZero(joint), sound).covariance,
): EffectInformation {
  const { products, effects } = joint;
  const k = effects.length;
  const n = PARAMETERS;
  const asSound = meanAtZero(joint, sound, covariance);
  const mean = new Float64Array(n);
  const averaged = new Float64Array(covariance);
  for (const { kind, weight, mean: expected, variance } of explanations) {
    for (let i = 0; i < n; i++) mean[i]! += weight * asSound[i]!;
    if (kind < 0) continue;
    const p = KIND_PARAMETER[kind]!;
    const was = 1 / sound.variance[p]!;
    const change = 1 / variance - was;
    const grown = 1 + change * covariance[p * n + p]!;
    const moved = (weight / grown) * (expected / variance - sound.mean[p]! * was - change * asSound[p]!);
    const shrink = (weight * change) / grown;
    for (let i = 0; i < n; i++) {
      const ci = covariance[i * n + p]!;
      mean[i]! += moved * ci;
      for (let j = 0; j < n; j++) averaged[i * n + j]! -= shrink * ci * covariance[j * n + p]!;
    }
  }
  const matrix = new Float64Array(k * k);
  const vector = new Float64Array(k);
  const reduced = new Float64Array(n);
  for (let e = 0; e < k; e++) {
    const row = at(FIRST_EFFECT + e, 0);
    let pull = products[row + ERROR_COLUMN]!;
    for (let i = 0; i < n; i++) {
      pull -= products[row + i]! * mean[i]!;
      let sum = 0;
      for (let j = 0; j < n; j++) sum += averaged[i * n + j]! * products[row + j]!;
      reduced[i] = sum;
    }
    vector[e] = pull;
    for (let f = 0; f <= e; f++) {
      const other = at(FIRST_EFFECT + f, 0);
      let sum = products[row + FIRST_EFFECT + f]!;
      for (let i = 0; i < n; i++) sum -= reduced[i]! * products[other + i]!;
      matrix[e * k + f] = sum;
      matrix[f * k + e] = sum;
    }
  }
  return { effects, matrix, vector };
}

/** Mean of the own numbers of a sound life where every shared effect is 0. */
function meanAtZero({ products }: JointInformation, sound: OwnPrior, covariance: Float64Array): Float64Array {
  const n = PARAMETERS;
  const mean = new Float64Array(n);
  for (let j = 0; j < n; j++) {
    const pull = products[at(ERROR_COLUMN, j)]! + sound.mean[j]! / sound.variance[j]!;
    for (let i = 0; i < n; i++) mean[i]! += covariance[i * n + j]! * pull;
  }
  return mean;
}

/** Share by which doubt is widened, so that rounding cannot make it negative. */
const ROUNDING = 1e-12;

/** Belief about some effects as if one life had not been looked at: precision matrix and its product with the mean. */
export interface EffectBelief {
  readonly precision: Float64Array;
  readonly pull: Float64Array;
}

/**
 * Takes one life's information out of the fleet's estimates of the effects that the life touched.
 *
 * @remarks
 * Exact, because a life informs only the effects it touches. Without it a unit that is alone with its lot would
 * see its own drift confirmed by the lot that was estimated from it. Where the life's information is not part of
 * the estimates as it stands (they are older, or its explanation has changed), as much is taken out as leaves a
 * proper belief.
 *
 * @param group The group whose units the life's unit belongs to.
 * @param own null: the life did not take part in the estimates.
 */
export function beliefWithout(
  estimates: EffectEstimates,
  group: string,
  effects: Int32Array,
  own: EffectInformation | null,
): EffectBelief {
  const k = effects.length;
  const factor = estimates.covariance(effects, group);
  for (let e = 0; e < k; e++) factor[e * k + e]! *= 1 + ROUNDING;
  factoriseOrThrow(factor, k, "beliefWithout", "two shared effects cannot be told apart at all");
  const precision = inverseFromFactor(factor, k);
  const pull = new Float64Array(k);
  for (let e = 0; e < k; e++) {
    for (let f = 0; f < k; f++) pull[e]! += precision[e * k + f]! * estimates.value[effects[f]!]!;
  }
  if (own === null) return { precision, pull };
  for (let share = 1; share > 0.05; share *= 0.7) {
    const left = precision.map((p, i) => p - share * own.matrix[i]!);
    if (factorise(new Float64Array(left), k)) {
      return { precision: left, pull: pull.map((p, i) => p - share * own.vector[i]!) };
    }
  }
  return { precision, pull };
}

/** The own numbers' information with the shared effects integrated out under a belief about them. */
export function informationUnder(joint: JointInformation, belief: EffectBelief): OwnInformation {
  const { products, effects } = joint;
  const k = effects.length;
  const n = PARAMETERS;
  const given = informationAtZero(joint);
  if (k === 0) return given;
  const factor = new Float64Array(belief.precision);
  const pull = new Float64Array(belief.pull);
  const prior = new Float64Array(belief.precision);
  const priorPull = new Float64Array(belief.pull);
  factoriseOrThrow(prior, k, "informationUnder", "the belief about shared effects is not proper");
  solveLower(prior, k, priorPull);
  let logLikelihood = given.logLikelihoodAtZero;
  for (let e = 0; e < k; e++) {
    logLikelihood += Math.log(prior[e * k + e]!) - 0.5 * priorPull[e]! ** 2;
    const row = FIRST_EFFECT + e;
    for (let f = 0; f <= e; f++) factor[e * k + f]! += products[at(row, FIRST_EFFECT + f)]!;
    pull[e]! += products[at(row, ERROR_COLUMN)]!;
  }
  factoriseOrThrow(factor, k, "informationUnder", "the belief about shared effects is not proper");
  solveLower(factor, k, pull);
  for (let e = 0; e < k; e++) logLikelihood += 0.5 * pull[e]! ** 2 - Math.log(factor[e * k + e]!);
  const cross = new Float64Array(n * k);
  for (let i = 0; i < n; i++) {
    for (let e = 0; e < k; e++) cross[i * k + e] = products[at(FIRST_EFFECT + e, i)]!;
    solveLower(factor, k, cross, i * k);
    for (let e = 0; e < k; e++) given.vector[i]! -= cross[i * k + e]! * pull[e]!;
    for (let j = 0; j <= i; j++) {
      let sum = 0;
      for (let e = 0; e < k; e++) sum += cross[i * k + e]! * cross[j * k + e]!;
      given.matrix[i * n + j]! -= sum;
      if (j < i) given.matrix[j * n + i]! -= sum;
    }
  }
  return { matrix: given.matrix, vector: given.vector, logLikelihoodAtZero: logLikelihood };
}
