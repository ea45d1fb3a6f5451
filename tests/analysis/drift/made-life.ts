import { curvatureLoading, frictionLoading, PARAMETERS } from "../../../analysis/drift/components.ts";
import type { LifeChecks } from "../../../analysis/drift/life-checks.ts";
import type { LifeNoise } from "../../../analysis/drift/life-filter.ts";
import type { OwnPrior } from "../../../analysis/drift/own-posterior.ts";

export interface MadeCheck {
  readonly year: number;
  /** Torque fraction and error of each reading. */
  readonly readings: readonly (readonly [x: number, error: number])[];
  /** Shared effects: number and factor. */
  readonly effects?: readonly (readonly [effect: number, factor: number])[];
  readonly coefficient?: number;
}

/** A life put together by hand. */
export function madeLife(checks: readonly MadeCheck[], startKnown = true): LifeChecks {
  const effects = [...new Set(checks.flatMap((check) => (check.effects ?? []).map(([effect]) => effect)))];
  const firstReading = [0];
  const effectStart = [0];
  for (const check of checks) {
    firstReading.push(firstReading.at(-1)! + check.readings.length);
    effectStart.push(effectStart.at(-1)! + (check.effects ?? []).length);
  }
  const readings = checks.flatMap((check) => check.readings);
  const shared = checks.flatMap((check) => check.effects ?? []);
  return {
    startDay: 0,
    startKnown,
    endDay: null,
    checks: checks.length,
    year: Float64Array.from(checks, (check) => check.year),
    firstReading: Int32Array.from(firstReading),
    coefficient: Float64Array.from(checks, (check) => check.coefficient ?? 0),
    temperatureKnown: new Uint8Array(checks.length).fill(1),
    effects: Int32Array.from(effects),
    effectStart: Int32Array.from(effectStart),
    effect: Int32Array.from(shared, ([effect]) => effects.indexOf(effect)),
    factor: Float64Array.from(shared, ([, factor]) => factor),
    span: Float64Array.from(readings, ([x]) => x),
    curvature: Float64Array.from(readings, ([x]) => curvatureLoading(x)),
    friction: Float64Array.from(readings, ([x]) => frictionLoading(x)),
    error: Float64Array.from(readings, ([, error]) => error),
    varianceFactor: new Float64Array(readings.length).fill(1),
    reading: Int32Array.from(readings.keys()),
  };
}

export function madeNoise(given: Partial<LifeNoise>): LifeNoise {
  return {
    repeatability: 0.02,
    proportional: 0,
    temperature: 0,
    unrecordedTemperature: 0,
    wander: [0, 0, 0, 0],
    stepZero: 0.64,
    stepSpan: 2.56,
    ...given,
  };
}

/** Known without doubt to be 0, as far as the arithmetic allows. */
const CERTAIN = 1e-14;

/** A prior in which only the numbers given are in doubt: mean and variance by index. */
export function madePrior(
  doubt: Readonly<Record<number, readonly [mean: number, variance: number]>>,
): OwnPrior {
  const mean = new Float64Array(PARAMETERS);
  const variance = new Float64Array(PARAMETERS).fill(CERTAIN);
  for (const [parameter, [m, v]] of Object.entries(doubt)) {
    mean[Number(parameter)] = m;
    variance[Number(parameter)] = v;
  }
  return { mean, variance };
}
