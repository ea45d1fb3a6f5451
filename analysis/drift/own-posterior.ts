import { factoriseOrThrow, inverseFromFactor, logDeterminant, solveLower, solveUpper } from "./cholesky.ts";
import { PARAMETERS } from "./components.ts";
import { ERROR_COLUMN, type LifeFilter } from "./life-filter.ts";
import type { OwnPosterior } from "./life-smoother.ts";

/** What the readings of one life say about its nine numbers, wander and scatter integrated out. */
export interface OwnInformation {
  /** Row-major, {@link PARAMETERS} x {@link PARAMETERS}, symmetric. */
  readonly matrix: Float64Array;
  readonly vector: Float64Array;
  /** Log-likelihood where the nine numbers are 0. */
  readonly logLikelihoodAtZero: number;
}

/** Independent normal beliefs about the nine numbers before the life's readings. */
export interface OwnPrior {
  readonly mean: Float64Array;
  readonly variance: Float64Array;
}

export interface WeighedPosterior extends OwnPosterior {
  /** Log-likelihood of the life's readings under the prior. */
  readonly logEvidence: number;
}

const LOG_TWO_PI = Math.log(2 * Math.PI);
const UNSOLVABLE = "a life's own numbers have a prior without spread";

/** Takes the information out of the filter after a run without shared columns. */
export function ownInformation(filter: LifeFilter): OwnInformation {
  const matrix = new Float64Array(PARAMETERS * PARAMETERS);
  const vector = new Float64Array(PARAMETERS);
  const { information } = filter;
  for (let i = 0; i < PARAMETERS; i++) {
    for (let j = 0; j <= i; j++) {
      const value = information[(i * (i + 1)) / 2 + j]!;
      matrix[i * PARAMETERS + j] = value;
      matrix[j * PARAMETERS + i] = value;
    }
  }
  const errorRow = (ERROR_COLUMN * (ERROR_COLUMN + 1)) / 2;
  for (let i = 0; i < PARAMETERS; i++) vector[i] = information[errorRow + i]!;
  const squares = information[errorRow + ERROR_COLUMN]!;
  return {
    matrix,
    vector,
    logLikelihoodAtZero: -0.5 * (filter.used * LOG_TWO_PI + filter.logVariance + squares),
  };
}

/** Combines prior and information. */
export function ownPosterior(information: OwnInformation, prior: OwnPrior): WeighedPosterior {
  const n = PARAMETERS;
  const factor = Float64Array.from(information.matrix);
  const pull = Float64Array.from(information.vector);
  let logEvidence = information.logLikelihoodAtZero;
  for (let i = 0; i < n; i++) {
    const precision = 1 / prior.variance[i]!;
    factor[i * n + i]! += precision;
    pull[i]! += precision * prior.mean[i]!;
    logEvidence += 0.5 * (Math.log(precision) - precision * prior.mean[i]! ** 2);
  }
  factoriseOrThrow(factor, n, "ownPosterior", UNSOLVABLE);
  solveLower(factor, n, pull);
  for (let i = 0; i < n; i++) logEvidence += 0.5 * pull[i]! ** 2;
  logEvidence -= 0.5 * logDeterminant(factor, n);
  const mean = pull;
  solveUpper(factor, n, mean);
  return { mean, covariance: inverseFromFactor(factor, n), logEvidence };
}
