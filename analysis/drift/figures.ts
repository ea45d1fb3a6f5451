import type { FleetChecks } from "../fleet.ts";
import type { Population } from "./population.ts";
import type { EffectEstimates } from "./shared-causes.ts";
import { CAUSES, type LotCourse, type SharedDesign } from "./shared-design.ts";
import type { SharedSpread } from "./shared-variances.ts";

/**
 * What was learnt from a fleet: plain data, so that it can be kept and used again until the next fit.
 * Forecasts made with kept figures do not jump when other units' checks come in.
 */
export interface FleetFigures {
  readonly asOfDay: number;
  readonly population: Population;
  readonly shared: SharedFigures;
  /** Variance of one reading, by instrument learnt from. Unit: (% of full scale)^2. */
  readonly repeatability: Readonly<Record<string, number>>;
}

/** Estimates of lots, baths, geometries and operators. */
export interface SharedFigures {
  /** Names of the effects, as in the design. */
  readonly keys: readonly string[];
  readonly value: readonly number[];
  /** How many units each effect was learnt from. */
  readonly units: readonly number[];
  /** Lower triangle by rows. */
  readonly covariance: readonly number[];
  readonly courses: readonly LotCourse[];
  /** Prior variances for an effect that the fit has not seen, by cause. */
  readonly newVariance: Readonly<Record<string, number>>;
  /** Probability that a lot's error changes as it ages, by lot. */
  readonly ageing: Readonly<Record<string, number>>;
}

export function figuresOf(
  fleet: FleetChecks,
  design: SharedDesign,
  spread: SharedSpread,
  population: Population,
  estimates: EffectEstimates,
  effectUnits: ArrayLike<number>,
  repeatability: ReadonlyMap<string, number>,
): FleetFigures {
  const n = design.keys.length;
  const covariance: number[] = [];
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= i; j++) covariance.push(estimates.covariance[i * n + j]!);
  }
  return {
    asOfDay: fleet.asOfDay,
    population,
    shared: {
      keys: design.keys,
      value: [...estimates.value],
      units: Array.from(effectUnits),
      covariance,
      courses: design.courses.filter((c): c is LotCourse => c !== null),
      newVariance: Object.fromEntries(CAUSES.map((cause) => [cause, spread.sd[cause] ** 2])),
      ageing: Object.fromEntries(fleet.lots.map((lot, i) => [lot.fluidLot, spread.ageing[i]!])),
    },
    repeatability: Object.fromEntries(repeatability),
  };
}
