import { factoriseOrThrow, solveLower, solveUpper } from "./cholesky.ts";
import { ACCELERATION, COMPONENT, COMPONENTS, PARAMETERS, RATE } from "./components.ts";
import { ERROR_COLUMN, type FilteredLife, STATE } from "./life-filter.ts";
import type { OwnPrior } from "./own-posterior.ts";
import type { EffectBelief } from "./shared-causes.ts";

/**
 * Where a unit stands at one moment: the four components, their rates at that moment, and the span's acceleration.
 * Normal distribution; {@link PARAMETERS} numbers in that order.
 */
export interface UnitState {
  readonly mean: Float64Array;
  /** Row-major. */
  readonly covariance: Float64Array;
}

const FIRST_EFFECT = PARAMETERS + 1;
const at = (i: number, j: number) => (i * (i + 1)) / 2 + j;

/**
 * The state at the last check of a life that has just been filtered, shared effects integrated out.
 *
 * @param filter With columns for the shared effects that `belief` is about.
 * @param year Time of the last check since the life's start. Unit: years.
 */
export function stateAtLastCheck(
  filter: FilteredLife,
  year: number,
  prior: OwnPrior,
  belief: EffectBelief,
): UnitState {
  const { information, level, covariance: wander } = filter;
  const effects = filter.columns - FIRST_EFFECT;
  const n = PARAMETERS + effects;
  const column = (i: number) => (i < PARAMETERS ? i : i + 1);
  const factor = new Float64Array(n * n);
  const mean = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= i; j++) factor[i * n + j] = information[at(column(i), column(j))]!;
    const row = column(i);
    mean[i] = row < ERROR_COLUMN ? information[at(ERROR_COLUMN, row)]! : information[at(row, ERROR_COLUMN)]!;
  }
  for (let p = 0; p < PARAMETERS; p++) {
    factor[p * n + p]! += 1 / prior.variance[p]!;
    mean[p]! += prior.mean[p]! / prior.variance[p]!;
  }
  for (let e = 0; e < effects; e++) {
    const row = (PARAMETERS + e) * n + PARAMETERS;
    for (let f = 0; f <= e; f++) factor[row + f]! += belief.precision[e * effects + f]!;
    mean[PARAMETERS + e]! += belief.pull[e]!;
  }
  factoriseOrThrow(factor, n, "stateAtLastCheck", "a prior without spread");
  solveLower(factor, n, mean);
  solveUpper(factor, n, mean);

  // The state is a line in these numbers: their own path, and the wander that the filter leaves given them.
  const map = new Float64Array(PARAMETERS * n);
  const offset = new Float64Array(PARAMETERS);
  for (let c = 0; c < COMPONENTS; c++) {
    for (let i = 0; i < n; i++) map[c * n + i] = -level[column(i) * STATE + c]!;
    map[c * n + c]! += 1;
    map[c * n + RATE + c]! += year;
    map[(RATE + c) * n + RATE + c] = 1;
    offset[c] = level[ERROR_COLUMN * STATE + c]!;
  }
  map[COMPONENT.span * n + ACCELERATION]! += 0.5 * year * year;
  map[(RATE + COMPONENT.span) * n + ACCELERATION] = year;
  map[ACCELERATION * n + ACCELERATION] = 1;

  const state = { mean: offset, covariance: new Float64Array(PARAMETERS * PARAMETERS) };
  for (let s = 0; s < PARAMETERS; s++) {
    for (let i = 0; i < n; i++) state.mean[s]! += map[s * n + i]! * mean[i]!;
    solveLower(factor, n, map, s * n);
    for (let t = 0; t <= s; t++) {
      let sum = s < COMPONENTS && t < COMPONENTS ? wander[s * STATE + t]! : 0;
      for (let i = 0; i < n; i++) sum += map[s * n + i]! * map[t * n + i]!;
      state.covariance[s * PARAMETERS + t] = sum;
      state.covariance[t * PARAMETERS + s] = sum;
    }
  }
  return state;
}
