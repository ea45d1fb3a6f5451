import {
  ACCELERATION,
  COMPONENT,
  COMPONENTS,
  curvatureLoading,
  frictionLoading,
  PARAMETERS,
  RATE,
} from "./components.ts";
import type { ForwardModel } from "./forward-paths.ts";
import type { UnitState } from "./present-state.ts";

/** A quantity of a unit some time after its state: linear in the state, plus what happens on the way. */
export interface QuantityAhead {
  /** Shape: {@link PARAMETERS}. */
  readonly row: Float64Array;
  /** Variance that wander adds. */
  readonly wander: number;
  /** Variance that a step adds, and the probability that one happens. */
  readonly step: number;
  readonly stepChance: number;
}

/** One of the four components, `years` after the state. Unit: % of full scale. */
export function componentAhead(model: ForwardModel, component: number, years: number): QuantityAhead {
  const row = new Float64Array(PARAMETERS);
  row[component] = 1;
  row[RATE + component] = years;
  if (component === COMPONENT.span) row[ACCELERATION] = 0.5 * years * years;
  const step = { [COMPONENT.zero]: model.stepZero, [COMPONENT.span]: model.stepSpan }[component] ?? 0;
  return { row, wander: model.wander[component]! * years, step, stepChance: stepChance(model, years) };
}

/** The rate of a component, `years` after the state. Unit: % of full scale per year. */
export function rateAhead(component: number, years: number): QuantityAhead {
  const row = new Float64Array(PARAMETERS);
  row[RATE + component] = 1;
  if (component === COMPONENT.span) row[ACCELERATION] = years;
  return { row, wander: 0, step: 0, stepChance: 0 };
}

/** The unit's error at torque fraction x, `years` after the state. Unit: % of full scale. */
export function errorAhead(model: ForwardModel, x: number, years: number): QuantityAhead {
  const row = new Float64Array(PARAMETERS);
  let wander = 0;
  loadings(x).forEach((h, c) => {
    row[c] = h;
    row[RATE + c] = h * years;
    wander += h * h * model.wander[c]! * years;
  });
  row[ACCELERATION] = x * 0.5 * years * years;
  const step = model.stepZero + x * x * model.stepSpan;
  return { row, wander, step, stepChance: stepChance(model, years) };
}

/** The rate at which the error at torque fraction x moves, `years` after the state. Unit: % of full scale per year. */
export function errorRateAhead(x: number, years: number): QuantityAhead {
  const row = new Float64Array(PARAMETERS);
  loadings(x).forEach((h, c) => {
    const rate = rateAhead(c, years);
    for (let p = 0; p < PARAMETERS; p++) row[p]! += h * rate.row[p]!;
  });
  return { row, wander: 0, step: 0, stepChance: 0 };
}

function loadings(x: number): readonly number[] {
  return [1, x, curvatureLoading(x), frictionLoading(x)].slice(0, COMPONENTS);
}

function stepChance(model: ForwardModel, years: number): number {
  return 1 - Math.exp(-model.stepsPerYear * years);
}

/** One normal part of a mixture. */
export interface Part {
  readonly weight: number;
  readonly mean: number;
  readonly sd: number;
}

/** The quantity under weighted states: one normal distribution each, and another one with a step. */
export function partsAhead(
  states: readonly { readonly weight: number; readonly state: UnitState }[],
  { row, wander, step, stepChance: chance }: QuantityAhead,
): Part[] {
  return states.flatMap(({ weight, state }): Part[] => {
    const { mean, variance } = projected(state, row);
    const within = variance + wander;
    const steady = { weight: weight * (1 - chance), mean, sd: Math.sqrt(within) };
    return chance > 0 && step > 0
      ? [steady, { weight: weight * chance, mean, sd: Math.sqrt(within + step) }]
      : [{ ...steady, weight }];
  });
}

/** Mean and variance of a linear combination of the state's numbers. */
function projected(state: UnitState, row: Float64Array): { mean: number; variance: number } {
  let mean = 0;
  let variance = 0;
  for (let p = 0; p < PARAMETERS; p++) {
    if (row[p] === 0) continue;
    mean += row[p]! * state.mean[p]!;
    for (let q = 0; q < PARAMETERS; q++)
      variance += row[p]! * row[q]! * state.covariance[p * PARAMETERS + q]!;
  }
  return { mean, variance: Math.max(0, variance) };
}

/** Mean and standard deviation of a mixture whose weights add to 1. */
export function mixtureMoments(parts: readonly Part[]): { mean: number; sd: number } {
  let mean = 0;
  for (const part of parts) mean += part.weight * part.mean;
  let variance = 0;
  for (const part of parts) variance += part.weight * (part.sd ** 2 + (part.mean - mean) ** 2);
  return { mean, sd: Math.sqrt(variance) };
}
