import type { Population } from "./population.ts";
import type { LotCourse } from "./shared-design.ts";

/**
 * What was learnt from a fleet: plain data, so that it can be kept and used again until the next fit.
 * Forecasts made with kept figures do not jump when other units' checks come in.
 */
export interface FleetFigures {
  readonly asOfDay: number;
  readonly population: Population;
  readonly shared: SharedFigures;
  /** Variance of one reading, by instrument. Unit: (% of full scale)^2. */
  readonly repeatability: Readonly<Record<string, number>>;
}

/** Estimates of lots, baths, geometries and operators. */
export interface SharedFigures {
  /** Names of the effects, as in the design. */
  readonly keys: readonly string[];
  readonly value: readonly number[];
  /** Prior variance of each effect at the end of the fit. */
  readonly priorVariance: readonly number[];
  /** Lower triangle by rows. */
  readonly covariance: readonly number[];
  readonly courses: readonly LotCourse[];
  /** Prior variances for an effect that the fit has not seen, by cause. */
  readonly newVariance: Readonly<Record<string, number>>;
  /** Probability that a lot's error changes as it ages, by lot. */
  readonly ageing: Readonly<Record<string, number>>;
}
