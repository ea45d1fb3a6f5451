import type { FleetChecks } from "../fleet.ts";
import { EffectEstimates } from "./effect-blocks.ts";
import type { Population } from "./population.ts";
import { CAUSES, causeOf, type LotCourse, type SharedDesign } from "./shared-design.ts";
import type { SharedSpread } from "./shared-variances.ts";

/** Counts up when figures learnt by an earlier version of the model may no longer be used. */
export const FIGURES_FORM = 1;

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

export interface SharedBlock {
  readonly name: string;
  /** Positions in `keys`. */
  readonly effects: readonly number[];
  /** Covariance, lower triangle by rows. */
  readonly covariance: readonly number[];
}

/** Estimates of lots, baths, geometries and operators. */
export interface SharedFigures {
  /** Names of the effects, as in the design. */
  readonly keys: readonly string[];
  readonly value: readonly number[];
  /** How many units each effect was learnt from. */
  readonly units: readonly number[];
  /** Joint uncertainty of the effects that one site's units touch. */
  readonly blocks: readonly SharedBlock[];
  readonly courses: readonly LotCourse[];
  /** Prior variances for an effect that the fit has not seen, by cause. */
  readonly newVariance: Readonly<Record<string, number>>;
  /** Probability that a lot's error changes as it ages, by lot. */
  readonly ageing: Readonly<Record<string, number>>;
}

/** What a fit came to, as plain data keyed by names. */
export function figuresOf(
  fleet: FleetChecks,
  design: SharedDesign,
  spread: SharedSpread,
  population: Population,
  estimates: EffectEstimates,
  effectUnits: ArrayLike<number>,
  repeatability: ReadonlyMap<string, number>,
): FleetFigures {
  return {
    asOfDay: fleet.asOfDay,
    population,
    shared: {
      keys: design.keys,
      value: [...estimates.value],
      units: Array.from(effectUnits),
      blocks: estimates.blocks.map(({ name, effects, covariance }) => ({
        name,
        effects: [...effects],
        covariance: lowerTriangle(covariance, effects.length),
      })),
      courses: design.courses.filter((c): c is LotCourse => c !== null),
      newVariance: Object.fromEntries(CAUSES.map((cause) => [cause, spread.sd[cause] ** 2])),
      ageing: Object.fromEntries(fleet.lots.map((lot, i) => [lot.fluidLot, spread.ageing[i]!])),
    },
    repeatability: Object.fromEntries(repeatability),
  };
}

function lowerTriangle(matrix: Float64Array, n: number): number[] {
  const packed: number[] = [];
  for (let i = 0; i < n; i++) for (let j = 0; j <= i; j++) packed.push(matrix[i * n + j]!);
  return packed;
}

/**
 * The estimates as they were kept.
 *
 * @param keys Names of all effects, the kept ones first; those added since have the fleet's spread.
 */
export function estimatesOf(
  { shared }: FleetFigures,
  keys: readonly string[] = shared.keys,
): EffectEstimates {
  const value = new Float64Array(keys.length);
  value.set(shared.value);
  const blocks = shared.blocks.map(({ name, effects, covariance }) => {
    const n = effects.length;
    const full = new Float64Array(n * n);
    let packed = 0;
    for (let i = 0; i < n; i++) {
      for (let j = 0; j <= i; j++, packed++) {
        full[i * n + j] = covariance[packed]!;
        full[j * n + i] = covariance[packed]!;
      }
    }
    return { name, effects: Int32Array.from(effects), covariance: full };
  });
  return new EffectEstimates(
    value,
    blocks,
    Float64Array.from(keys, (key) => shared.newVariance[causeOf(key)]!),
  );
}
