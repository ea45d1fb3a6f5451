import { ImpossibleValueError } from "./errors.ts";

/** How the three contributions add: as limits (linear) or as independent uncertainties (root sum of squares). */
export type Combination = "linear" | "root-sum-square";

export interface ToleranceShares {
  /** Fluid: % of the certified value. */
  readonly fluidPercent: number;
  /** Instrument: % of full-scale range. */
  readonly instrumentPercent: number;
  /** Accessory: % of full-scale range. */
  readonly accessoryPercent: number;
  readonly combine: Combination;
}

export interface ToleranceRule extends ToleranceShares {
  /** Shares that differ for a geometry; what it leaves out follows the general rule. */
  readonly perGeometry: Readonly<Record<string, Partial<ToleranceShares>>>;
}

/** Fluid 1 %, instrument 1 %, accessory 1 %, added: common practice, no source. */
export const DEFAULT_TOLERANCE_RULE: ToleranceRule = {
  fluidPercent: 1,
  instrumentPercent: 1,
  accessoryPercent: 1,
  combine: "linear",
  perGeometry: {},
};

/** The shares in force for a geometry; the general rule where none was recorded. */
export function sharesFor(rule: ToleranceRule, geometry?: string | null): ToleranceShares {
  // hasOwn: a geometry may be called "constructor".
  if (geometry == null || !Object.hasOwn(rule.perGeometry, geometry)) return rule;
  return { ...rule, ...rule.perGeometry[geometry] };
}

/**
 * Tolerance of a reading as a share of full scale, from its expected torque.
 *
 * @remarks
 * Linear addition is an agreed limit for the worst case; root sum of squares is a statement about
 * independent uncertainties (JCGM 100:2008, 5.1.2). They are not to be mixed within one rule.
 *
 * @param torquePercent Expected torque, 100 x certified value / full-scale range. Unit: % of full scale.
 * @param geometry Name under which the rule may hold other shares; null or left out if not recorded.
 * @returns Tolerance, to be read as plus or minus. Unit: % of full scale.
 * @throws {ImpossibleValueError} for a torque that is negative or not finite, and for a rule that leaves no
 *   tolerance at all.
 * @example
 * tolerancePercentFs(50, DEFAULT_TOLERANCE_RULE); // 2.5
 */
export function tolerancePercentFs(
  torquePercent: number,
  rule: ToleranceRule,
  geometry?: string | null,
): number {
  if (!(torquePercent >= 0 && torquePercent < Number.POSITIVE_INFINITY)) {
    throw new ImpossibleValueError("tolerancePercentFs", "expected torque", "0 or more", torquePercent);
  }
  const { fluidPercent, instrumentPercent, accessoryPercent, combine } = sharesFor(rule, geometry);
  const fluid = (fluidPercent * torquePercent) / 100;
  const tolerance =
    combine === "linear"
      ? fluid + instrumentPercent + accessoryPercent
      : Math.hypot(fluid, instrumentPercent, accessoryPercent);
  if (!(tolerance > 0)) {
    throw new ImpossibleValueError("tolerancePercentFs", "tolerance", "above 0", tolerance);
  }
  return tolerance;
}

export interface ReadingFacts {
  readonly readingMPaS: number;
  /** The fluid's certified value, never the label's nominal one. */
  readonly certifiedMPaS: number;
  /** The viscosity that would read 100 % torque at this speed. */
  readonly fullScaleRangeMPaS: number;
}

/** One reading held against its tolerance. */
export interface JudgedReading {
  readonly torquePercent: number;
  readonly errorMPaS: number;
  readonly errorPercentFs: number;
  readonly toleranceMPaS: number;
  readonly tolerancePercentFs: number;
  /** Signed; beyond -1 or 1 the reading is out of tolerance. */
  readonly errorOverTolerance: number;
}

/**
 * Error, tolerance and error over tolerance of one reading.
 *
 * @throws {ImpossibleValueError} for a certified value or range that is not positive, a reading that is not
 *   finite, and a rule that leaves no tolerance.
 * @example
 * judgeReading({ readingMPaS: 99.5, certifiedMPaS: 95, fullScaleRangeMPaS: 500 }, DEFAULT_TOLERANCE_RULE);
 * // toleranceMPaS 10.95, errorOverTolerance 0.4109...
 */
export function judgeReading(
  facts: ReadingFacts,
  rule: ToleranceRule,
  geometry?: string | null,
): JudgedReading {
  const { readingMPaS, certifiedMPaS, fullScaleRangeMPaS } = facts;
  for (const [quantity, value] of [
    ["certified value", certifiedMPaS],
    ["full-scale range", fullScaleRangeMPaS],
  ] as const) {
    if (!(value > 0 && value < Number.POSITIVE_INFINITY)) {
      throw new ImpossibleValueError("judgeReading", quantity, "above 0", value);
    }
  }
  if (!Number.isFinite(readingMPaS)) {
    throw new ImpossibleValueError("judgeReading", "reading", "a finite number", readingMPaS);
  }
  const torquePercent = (100 * certifiedMPaS) / fullScaleRangeMPaS;
  const tolerance = tolerancePercentFs(torquePercent, rule, geometry);
  const errorMPaS = readingMPaS - certifiedMPaS;
  const errorPercentFs = (100 * errorMPaS) / fullScaleRangeMPaS;
  return {
    torquePercent,
    errorMPaS,
    errorPercentFs,
    toleranceMPaS: (tolerance * fullScaleRangeMPaS) / 100,
    tolerancePercentFs: tolerance,
    errorOverTolerance: errorPercentFs / tolerance,
  };
}
