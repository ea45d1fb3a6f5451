import { COMPONENTS, curvatureLoading, frictionLoading } from "../drift/components.ts";
import { groupOf } from "../drift/effect-blocks.ts";
import type { ForecastContext } from "../drift/forecast-context.ts";
import { type LifeChecks, livesOf, withoutShared } from "../drift/life-checks.ts";
import type { LifeNoise } from "../drift/life-filter.ts";
import { noiseOf } from "../drift/population.ts";
import type { UnitChecks } from "../fleet.ts";
import { type Movement, movementOf } from "./movement.ts";
import { QUANTITIES, quantitiesOfCheck } from "./quantities.ts";

const COUNT = QUANTITIES.length;

/**
 * What is known of a unit's scatter counts as this many checks: little where it is the fleet's, so that the unit's own
 * takes over within a year; much where it was learned from all the unit's readings.
 */
const SCATTER_DF = { ofFleet: 10, ofUnit: 40 };

/** The charted quantities of one life, check by check, lots and baths taken away. */
export interface LifeSeries {
  readonly checks: LifeChecks;
  /** Shape: one number a check. Unit: days since 1970-01-01 UTC. */
  readonly day: Float64Array;
  /** By quantity; each with one number a check, NaN where the check cannot tell. */
  readonly value: readonly Float64Array[];
  /** Variance of each value, what is not known of lots and baths included. */
  readonly variance: readonly Float64Array[];
  /** How many checks the expected scatter is worth, before those of the life. */
  readonly scatterDf: number;
  /** By quantity; null where no check of the life tells it. */
  readonly movement: readonly (Movement | null)[];
}

/**
 * A unit's lives as series, oldest first.
 *
 * @remarks
 * What is not known of a new lot or bath widens the variance of span and bands, check by check: a change of lot makes
 * the charts a little slower to signal, never quicker.
 */
export function lifeSeries(context: ForecastContext, unit: UnitChecks): LifeSeries[] {
  const { design, figures, estimates } = context;
  const known = figures.repeatability[unit.instrument];
  const noise = noiseOf(figures.population, known ?? Math.exp(figures.population.repeatabilityLogMean));
  return livesOf(unit, design).map((checks) => {
    const error = withoutShared(checks, estimates.value);
    const scatterDf = known === undefined ? SCATTER_DF.ofFleet : SCATTER_DF.ofUnit;
    return { ...seriesOf(context, unit, checks, error, noise), scatterDf };
  });
}

function seriesOf(
  { estimates, figures }: ForecastContext,
  unit: UnitChecks,
  life: LifeChecks,
  error: Float64Array,
  noise: LifeNoise,
): Omit<LifeSeries, "scatterDf"> {
  const { readings } = unit;
  const n = life.checks;
  const covariance = estimates.covariance(life.effects, groupOf(unit));
  const day = new Float64Array(n);
  const value = QUANTITIES.map(() => new Float64Array(n));
  const variance = QUANTITIES.map(() => new Float64Array(n));
  const tolerance = Float64Array.from(life.reading, (i) => readings.tolerance[i]!);
  const columns = { torque: life.span, error, tolerance, varianceFactor: life.varianceFactor };
  const v = new Float64Array(COUNT);
  const u = new Float64Array(COUNT);
  const telling = new Int32Array(COUNT).fill(-1);
  for (let k = 0; k < n; k++) {
    const [from, to] = [life.firstReading[k]!, life.firstReading[k + 1]!];
    day[k] = readings.day[life.reading[from]!]!;
    const temperature = life.temperatureKnown[k] ? noise.temperature : noise.unrecordedTemperature;
    const shared =
      noise.proportional +
      life.coefficient[k]! ** 2 * temperature +
      varianceOfSharedChange(life, covariance, k);
    quantitiesOfCheck(columns, from, to, noise.repeatability, shared, v, u);
    for (let q = 0; q < COUNT; q++) {
      value[q]![k] = v[q]!;
      variance[q]![k] = u[q]!;
      if (telling[q]! < 0 && !Number.isNaN(v[q]!)) telling[q] = k;
    }
  }
  const movement = Array.from(telling, (k, q) =>
    k < 0 ? null : movementOf(figures.population, loadings(life, columns, k, q, v, u), life.startKnown),
  );
  return { checks: life, day, value, variance, movement };
}

/** What quantity q reads at check k for each component alone. */
function loadings(
  life: LifeChecks,
  columns: { readonly torque: Float64Array; readonly tolerance: Float64Array },
  k: number,
  q: number,
  value: Float64Array,
  variance: Float64Array,
): Float64Array {
  const [from, to] = [life.firstReading[k]!, life.firstReading[k + 1]!];
  const { varianceFactor } = life;
  const { torque, tolerance } = columns;
  const error = new Float64Array(to);
  return Float64Array.from({ length: COMPONENTS }, (_, c) => {
    for (let i = from; i < to; i++) error[i] = componentAt(torque[i]!, c);
    quantitiesOfCheck({ torque, error, tolerance, varianceFactor }, from, to, 1, 0, value, variance);
    return value[q]!;
  });
}

function componentAt(x: number, component: number): number {
  if (component === 0) return 1;
  if (component === 1) return x;
  return component === 2 ? curvatureLoading(x) : frictionLoading(x);
}

/**
 * Variance of how much more lots and baths add to check k than to the life's first: what they add to all checks alike
 * cannot look like a change. Unit: (% of reading)^2.
 *
 * @param covariance Of the life's effects, row-major in their order.
 */
function varianceOfSharedChange(life: LifeChecks, covariance: Float64Array, k: number): number {
  if (k === 0) return 0;
  const { effects, effect, factor, effectStart } = life;
  const n = effects.length;
  const first = effectStart[1]!;
  const [from, to] = [effectStart[k]!, effectStart[k + 1]!];
  const own = to - from;
  let sum = 0;
  // Entries of check k count as they are, those of the first check with the sign turned.
  for (let i = 0; i < own + first; i++) {
    const e = i < own ? from + i : i - own;
    const a = i < own ? factor[e]! : -factor[e]!;
    const row = effect[e]! * n;
    for (let j = 0; j < own + first; j++) {
      const f = j < own ? from + j : j - own;
      const b = j < own ? factor[f]! : -factor[f]!;
      sum += a * b * covariance[row + effect[f]!]!;
    }
  }
  return Math.max(0, sum);
}
