import { ACCELERATION, RATE } from "./components.ts";
import type { LifeNoise } from "./life-filter.ts";
import type { OwnPrior } from "./own-posterior.ts";

/** The ways in which a unit may drift. A unit that drifts at all does so in one of them. */
export const KINDS = ["span", "zero", "friction", "curvature", "acceleration"] as const;

/** Which of a life's nine numbers each kind moves. */
export const KIND_PARAMETER: readonly number[] = [RATE + 1, RATE, RATE + 3, RATE + 2, ACCELERATION];

/** Friction only grows; the others may go either way. */
export const KIND_SIGNS: readonly (readonly number[])[] = [[1, -1], [1, -1], [1], [1, -1], [1, -1]];

/** What is known of the fleet's drift before any one unit is looked at. Plain numbers, kept between fits. */
export interface Population {
  /** Share of units that are of each kind; the rest is sound. */
  readonly kindShare: readonly number[];
  /** Typical size of the rate when a unit of the kind drifts. Unit: % of full scale per year (per year squared). */
  readonly rateMedian: readonly number[];
  /** Standard deviation between units of the rate's natural logarithm. */
  readonly rateLogSd: readonly number[];
  /** Standard deviation of the rate between lives of one unit, as a share of the unit's own typical rate. */
  readonly rateLifeSpread: number;
  /** Probability that a life of a drifting unit drifts: an adjustment may have cured it. */
  readonly activeShare: number;
  /** The nine numbers of a life that does not drift and began with a service. */
  readonly soundMean: readonly number[];
  readonly soundVariance: readonly number[];
  /** The four starting values of a life that began before the records. */
  readonly midwayMean: readonly number[];
  readonly midwayVariance: readonly number[];
  /** Per component. Unit: (% of full scale)^2 per year. */
  readonly wander: readonly number[];
  readonly stepsPerYear: number;
  readonly stepZero: number;
  readonly stepSpan: number;
  /** Share of readings that stand apart, and how far they may lie. */
  readonly strayShare: number;
  readonly strayVariance: number;
  /** Natural logarithm of the variance of one reading: centre and standard deviation between units. */
  readonly repeatabilityLogMean: number;
  readonly repeatabilityLogSd: number;
  readonly proportional: number;
  readonly temperature: number;
}

/**
 * Before any data: a sensibly run fleet. Rates of drifting units are such that they leave tolerance within some
 * months to two years; sound units stay for many years; scatter as usual for instruments read to 0.1 %.
 * The fleet's own checks take over as they come: every figure here counts as much as a handful of units.
 */
export const POPULATION_BEFORE_DATA: Population = {
  kindShare: [0.08, 0.04, 0.04, 0.02, 0.03],
  rateMedian: [4, 2.5, 12, 3.5, 6],
  rateLogSd: [0.45, 0.45, 0.45, 0.45, 0.45],
  rateLifeSpread: 0.35,
  activeShare: 0.65,
  soundMean: [0, 0, 0, 0.07, 0, 0, 0, 0.025, 0],
  soundVariance: [0.15, 0.25, 0.15, 0.08, 0.15, 0.3, 0.08, 0.04, 0.1].map((sd) => sd * sd),
  midwayMean: [0, 0, 0, 0.3],
  midwayVariance: [0.6, 1.2, 0.5, 1.2].map((sd) => sd * sd),
  wander: [0.1, 0.2, 0.08, 0.05].map((sd) => sd * sd),
  stepsPerYear: 0.06,
  stepZero: 0.8 ** 2,
  stepSpan: 1.6 ** 2,
  strayShare: 0.003,
  strayVariance: 3.5 ** 2,
  repeatabilityLogMean: Math.log(0.15 ** 2),
  repeatabilityLogSd: 0.7,
  proportional: 0.15 ** 2,
  temperature: 0.03 ** 2,
};

/** Standard uncertainty of a fluid's temperature that nobody recorded. Unit: K. */
const UNRECORDED_TEMPERATURE_SD = 0.2;

/**
 * What the readings of a unit's lives scatter by.
 *
 * @param repeatability Variance of one reading of the unit. Unit: (% of full scale)^2.
 */
export function noiseOf(population: Population, repeatability: number): LifeNoise {
  return {
    repeatability,
    proportional: population.proportional,
    temperature: population.temperature,
    unrecordedTemperature: UNRECORDED_TEMPERATURE_SD ** 2,
    wander: population.wander,
    stepZero: population.stepZero,
    stepSpan: population.stepSpan,
  };
}

/** Belief about a life's nine numbers if it does not drift. */
export function soundPrior(population: Population, startKnown: boolean): OwnPrior {
  const mean = new Float64Array(population.soundMean);
  const variance = new Float64Array(population.soundVariance);
  if (!startKnown) {
    for (let c = 0; c < population.midwayMean.length; c++) {
      mean[c] = population.midwayMean[c]!;
      variance[c] = population.midwayVariance[c]!;
    }
  }
  return { mean, variance };
}
