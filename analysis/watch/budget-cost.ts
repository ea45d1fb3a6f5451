import { ewmaRunLength, individualsRunLength } from "../control-charts/run-length.ts";
import { chartDesign, LEVEL_WEIGHT } from "./design.ts";

/** What a budget of false alarms costs: checks until a lasting shift is signalled, on average. */
export interface BudgetCost {
  /** Budget over the present one: 0.5 allows half as many false alarms. */
  readonly factor: number;
  readonly runLength: number;
  /** By size of the shift, in sigma of one check; a known baseline. */
  readonly checksToSignal: readonly { readonly shiftSigma: number; readonly checks: number }[];
}

const SHIFTS = [0.5, 1, 2];

/**
 * The delay of the level chart, or of a single check where that is quicker, under other budgets.
 *
 * @param runLength Under the present budget, above 1.
 * @param factors Of the budget, above 0. Run lengths go with their inverse.
 */
export function budgetCost(runLength: number, factors: readonly number[]): BudgetCost[] {
  return factors.map((factor) => {
    const design = chartDesign(Number((runLength / factor).toPrecision(2)));
    return {
      factor,
      runLength: design.runLength,
      checksToSignal: SHIFTS.map((shiftSigma) => ({
        shiftSigma,
        checks: Math.min(
          ewmaRunLength({ weight: LEVEL_WEIGHT, limitSigma: design.level }, shiftSigma),
          individualsRunLength(design.check, shiftSigma),
        ),
      })),
    };
  });
}
