import { factoriseOrThrow, inverseFromFactor, logDeterminant, solveLower, solveUpper } from "./cholesky.ts";
import { PARAMETERS } from "./components.ts";
import { ERROR_COLUMN, type FilteredLife } from "./life-filter.ts";

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

/** Mean and covariance of the nine numbers after the life's readings. */
export interface OwnPosterior {
  readonly mean: Float64Array;
  /** Row-major, {@link PARAMETERS} x {@link PARAMETERS}. */
  readonly covariance: Float64Array;
  /** Log-likelihood of the life's readings under the prior. */
  readonly logEvidence: number;
}

const LOG_TWO_PI = Math.log(2 * Math.PI);

/** Takes the information out of the filter after a run. */
export function ownInformation(filter: FilteredLife): OwnInformation {
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

/**
 * Combines prior and information.
 *
 * @throws {SingularDesignError} where the prior has no spread.
 */
export function ownPosterior(information: OwnInformation, prior: OwnPrior): OwnPosterior {
  const n = PARAMETERS;
  const factor = new Float64Array(information.matrix);
  const mean = new Float64Array(information.vector);
  let logEvidence = information.logLikelihoodAtZero;
  for (let i = 0; i < n; i++) {
    const precision = 1 / prior.variance[i]!;
    factor[i * n + i]! += precision;
    mean[i]! += precision * prior.mean[i]!;
    logEvidence += 0.5 * (Math.log(precision) - precision * prior.mean[i]! ** 2);
  }
  factoriseOrThrow(factor, n, "ownPosterior", "a life's own numbers have a prior without spread");
  solveLower(factor, n, mean);
  for (let i = 0; i < n; i++) logEvidence += 0.5 * mean[i]! ** 2;
  logEvidence -= 0.5 * logDeterminant(factor, n);
  solveUpper(factor, n, mean);
  return { mean, covariance: inverseFromFactor(factor, n), logEvidence };
}

/**
 * The same posterior had one number's prior been another: a change of rank one, exact.
 *
 * @param before The prior that `posterior` was made with.
 */
export function withOtherPrior(
  posterior: OwnPosterior,
  before: OwnPrior,
  parameter: number,
  mean: number,
  variance: number,
): OwnPosterior {
  const n = PARAMETERS;
  const p = parameter;
  const { covariance } = posterior;
  const oldPrecision = 1 / before.variance[p]!;
  const change = 1 / variance - oldPrecision;
  const pull = mean / variance - before.mean[p]! * oldPrecision;
  const grown = 1 + change * covariance[p * n + p]!;
  const moved = new Float64Array(posterior.mean);
  const shrunk = new Float64Array(covariance);
  for (let i = 0; i < n; i++) {
    const ci = covariance[i * n + p]! / grown;
    moved[i]! += ci * (pull - change * posterior.mean[p]!);
    for (let j = 0; j < n; j++) shrunk[i * n + j]! -= change * ci * covariance[p * n + j]!;
  }
  const logEvidence = evidenceWithOtherPrior(posterior, before, parameter, mean, variance);
  return { mean: moved, covariance: shrunk, logEvidence };
}

/** The log-likelihood that {@link withOtherPrior} comes to, without the rest. */
export function evidenceWithOtherPrior(
  posterior: OwnPosterior,
  before: OwnPrior,
  parameter: number,
  mean: number,
  variance: number,
): number {
  const p = parameter;
  // The number's own likelihood, with the old prior and with the new one.
  const was = posterior.covariance[p * PARAMETERS + p]!;
  const oldPrecision = 1 / before.variance[p]!;
  const change = 1 / variance - oldPrecision;
  const pull = mean / variance - before.mean[p]! * oldPrecision;
  const grown = 1 + change * was;
  const moved = (posterior.mean[p]! + was * pull) / grown;
  return (
    posterior.logEvidence +
    0.5 *
      (Math.log(before.variance[p]! / (variance * grown)) +
        (moved * moved * grown - posterior.mean[p]! ** 2) / was -
        mean ** 2 / variance +
        before.mean[p]! ** 2 * oldPrecision)
  );
}
