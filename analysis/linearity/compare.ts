import { tTwoSidedP } from "../distributions/student-t.ts";
import type { Estimate } from "./estimate.ts";
import type { LinearityFit } from "./pooled.ts";

/** Second fit minus first: two lives, two fluids, as found against as left. Unit: % of full scale. */
export interface LinearityDifference {
  readonly zero: Estimate;
  readonly span: Estimate;
  /** null where one of the two could not tell it. */
  readonly nonlinearity: Estimate | null;
}

/**
 * What changed between two fits that share no check.
 *
 * Source: degrees of freedom as Welch (1947), from memory.
 */
export function compareLinearity(first: LinearityFit, second: LinearityFit): LinearityDifference {
  return {
    zero: difference(first.zero, second.zero),
    span: difference(first.span, second.span),
    nonlinearity:
      first.nonlinearity && second.nonlinearity && difference(first.nonlinearity, second.nonlinearity),
  };
}

function difference(a: Estimate, b: Estimate): Estimate {
  const value = b.value - a.value;
  const se = Math.hypot(a.se, b.se);
  const df = se ** 4 / (a.se ** 4 / a.df + b.se ** 4 / b.df);
  return { value, se, df, p: tTwoSidedP(value / se, df) };
}
