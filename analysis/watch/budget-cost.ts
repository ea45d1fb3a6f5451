import { type AlarmBudget, ewmaLimit, FALSE_ALARMS_PER_MONTH } from "../control-charts/alarm-limits.ts";
import { ewmaDriftRunLength } from "../control-charts/drift-run-length.ts";
import { ewmaRunLength } from "../control-charts/run-length.ts";
import { LEAST_RUN_LENGTH, LEVEL_WEIGHT, levelSignalsPerCheck } from "./design.ts";

/** How long something that happened to a unit goes unsignalled, on average. */
export interface SignalDelay {
  /** A lasting shift by `sigma`, or a drift by `sigma` from each check to the next. Unit: sigma of one check. */
  readonly what: "shift" | "drift";
  readonly sigma: number;
  readonly checks: number;
  /** The same at the fleet's average rate of checks. */
  readonly months: number;
}

/** What a budget of false alarms costs. */
export interface BudgetCost {
  readonly falseAlarmsPerMonth: number;
  /** Budget over the present one: 0.5 has half as many false alarms. */
  readonly factor: number;
  readonly runLength: number;
  /** Shifts of 0.5, 1 and 2 sigma, then a drift of 0.05 sigma a check; a known baseline. */
  readonly delays: readonly SignalDelay[];
}

const SHIFTS = [0.5, 1, 2];
const DRIFT = 0.05;

/**
 * The delay of the level chart under other budgets; a step of several sigma is found by the step chart with its second check.
 *
 * @param budget The present one; false alarms go with the inverse of the run length.
 * @param factors Of the present budget, above 0. A fleet has at least one and at most ten false alarms a month, and
 *   no chart more than one in a hundred checks: a factor that would leave these bounds is brought back to them.
 * @returns One row for each budget that there can be, in the order of `factors`; equal ones once.
 */
export function budgetCost(budget: AlarmBudget, factors: readonly number[]): BudgetCost[] {
  const valuesPerMonth = budget.falseAlarmsPerMonth * budget.runLength;
  const checksPerMonth = valuesPerMonth / budget.streams;
  const { least, most } = FALSE_ALARMS_PER_MONTH;
  const top = Math.min(most, valuesPerMonth / LEAST_RUN_LENGTH);
  const bottom = Math.min(least, top);
  const alarms = factors.map((f) => Math.min(top, Math.max(bottom, f * budget.falseAlarmsPerMonth)));
  return [...new Set(alarms)].map((falseAlarmsPerMonth) => {
    const factor = falseAlarmsPerMonth / budget.falseAlarmsPerMonth;
    const runLength = Number((budget.runLength / factor).toPrecision(2));
    const limitSigma = ewmaLimit(LEVEL_WEIGHT, 1 / levelSignalsPerCheck(runLength));
    const ewma = { weight: LEVEL_WEIGHT, limitSigma };
    const delay = (what: SignalDelay["what"], sigma: number, checks: number): SignalDelay => ({
      what,
      sigma,
      checks,
      months: checks / checksPerMonth,
    });
    return {
      falseAlarmsPerMonth,
      factor,
      runLength,
      delays: [
        ...SHIFTS.map((s) => delay("shift", s, ewmaRunLength(ewma, s))),
        delay("drift", DRIFT, ewmaDriftRunLength(ewma, DRIFT)),
      ],
    };
  });
}
