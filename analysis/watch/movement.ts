import { ACCELERATION, COMPONENT, COMPONENTS, RATE } from "../drift/components.ts";
import { KIND_PARAMETER, KINDS, type Population } from "../drift/population.ts";

/** How the fleet's units move in one charted quantity. Units: those of the quantity; years. */
export interface Movement {
  /** Value just after service, and its variance between units. */
  readonly startMean: number;
  readonly startVariance: number;
  /** Variance of a sound unit's rate. */
  readonly soundRate: number;
  /** Variance of any unit's rate, drifting ones included. */
  readonly anyRate: number;
  /** Growth of the wander's variance per year. */
  readonly wander: number;
}

/** By component. Unit: (% of full scale per year)^2. */
export interface RateVariances {
  readonly sound: readonly number[];
  readonly any: readonly number[];
}

/** Variances of the four components' rates: of sound units, and of all. */
export function rateVariances(population: Population): RateVariances {
  const sound = Array.from({ length: COMPONENTS }, (_, c) => population.soundVariance[RATE + c]!);
  const any = [...sound];
  KINDS.forEach((_, kind) => {
    const square =
      population.rateMedian[kind]! ** 2 *
      Math.exp(2 * population.rateLogSd[kind]! ** 2) *
      (1 + population.rateLifeSpread ** 2);
    const parameter = KIND_PARAMETER[kind]!;
    const share = population.kindShare[kind]! * population.activeShare;
    // A growing rate, as it is half a year after the service.
    if (parameter === ACCELERATION) any[COMPONENT.span]! += share * square * 0.5 ** 2;
    else any[parameter - RATE]! += share * square;
  });
  return { sound, any };
}

/**
 * What the fleet model's four components mean for one charted quantity.
 *
 * @param loading What the quantity reads if one component is 1 and the others 0; one a component.
 * @param startKnown Whether the life began with a service on record.
 */
export function movementOf(
  population: Population,
  { sound, any }: RateVariances,
  loading: ArrayLike<number>,
  startKnown: boolean,
): Movement {
  const mean = startKnown ? population.soundMean : population.midwayMean;
  const variance = startKnown ? population.soundVariance : population.midwayVariance;
  const movement = { startMean: 0, startVariance: 0, soundRate: 0, anyRate: 0, wander: 0 };
  for (let c = 0; c < COMPONENTS; c++) {
    const h = loading[c]!;
    movement.startMean += h * mean[c]!;
    movement.startVariance += h * h * variance[c]!;
    movement.soundRate += h * h * sound[c]!;
    movement.anyRate += h * h * any[c]!;
    movement.wander += h * h * population.wander[c]!;
  }
  return movement;
}
