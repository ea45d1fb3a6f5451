import { COMPONENTS, curvatureLoading, frictionLoading } from "../drift/components.ts";
import { groupOf } from "../drift/effect-blocks.ts";
import type { ForecastContext } from "../drift/forecast-context.ts";
import { type LifeChecks, livesOf, withoutShared } from "../drift/life-checks.ts";
import type { LifeNoise } from "../drift/life-filter.ts";
import { noiseOf } from "../drift/population.ts";
import type { UnitChecks } from "../fleet.ts";
import { cutAtBaselines } from "./baseline-cuts.ts";
import { type Movement, movementOf, rateVariances } from "./movement.ts";
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
  /** Day of the service, or the one that somebody named; null: before the first service on record. */
  readonly baselineFromDay: number | null;
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
  /**
   * By quantity: what it reads at each check if one component is 1 and the others 0. Shape: four numbers a check; NaN
   * where the check cannot tell.
   */
  readonly loading: readonly Float64Array[];
  /** Per reading: error with lots and baths taken away. Unit: % of full scale. */
  readonly error: Float64Array;
  /** Variance of one reading. Unit: (% of full scale)^2. */
  readonly repeatability: number;
  /** Per check: variance of what its readings share, and of that what lots and baths may add beside the life's first. Unit: (% of reading)^2. */
  readonly shared: Float64Array;
  readonly ofLots: Float64Array;
  /** How much less is known of where the life begins than the fleet says: 1, or more where somebody named the day. */
  readonly startWidening: number;
}

/**
 * A unit's lives as series, oldest first; cut where somebody had limits fitted anew.
 *
 * @remarks
 * What is not known of a new lot or bath widens the variance of span and bands, check by check: a change of lot makes
 * the charts a little slower to signal, never quicker.
 */
export function lifeSeries(context: ForecastContext, unit: UnitChecks): LifeSeries[] {
  const { design, figures, estimates } = context;
  const known = figures.repeatability[unit.instrument];
  const noise = noiseOf(figures.population, known ?? Math.exp(figures.population.repeatabilityLogMean));
  return livesOf(unit, design).flatMap((checks) => {
    const error = withoutShared(checks, estimates.value);
    const scatterDf = known === undefined ? SCATTER_DF.ofFleet : SCATTER_DF.ofUnit;
    const baselineFromDay = checks.startKnown ? checks.startDay : null;
    const life = {
      ...seriesOf(context, unit, checks, error, noise),
      scatterDf,
      baselineFromDay,
      startWidening: 1,
    };
    return cutAtBaselines(life, unit.baselineFromDays ?? []);
  });
}

function seriesOf(
  { estimates, figures }: ForecastContext,
  unit: UnitChecks,
  life: LifeChecks,
  error: Float64Array,
  noise: LifeNoise,
): Omit<LifeSeries, "scatterDf" | "baselineFromDay" | "startWidening"> {
  const { readings } = unit;
  const n = life.checks;
  const sharedChange = new SharedChange(life, estimates.covariance(life.effects, groupOf(unit)));
  const day = new Float64Array(n);
  const value = QUANTITIES.map(() => new Float64Array(n));
  const variance = QUANTITIES.map(() => new Float64Array(n));
  const tolerance = new Float64Array(life.reading.length);
  for (let r = 0; r < tolerance.length; r++) tolerance[r] = readings.tolerance[life.reading[r]!]!;
  const columns = { torque: life.span, error, tolerance, varianceFactor: life.varianceFactor };
  const v = new Float64Array(COUNT);
  const u = new Float64Array(COUNT);
  const telling = new Int32Array(COUNT).fill(-1);
  const shared = new Float64Array(n);
  const ofLots = new Float64Array(n);
  const loading = QUANTITIES.map(() => new Float64Array(n * COMPONENTS));
  const componentErrors = Array.from({ length: COMPONENTS }, (_, c) => ({
    ...columns,
    error: life.span.map((x) => componentAt(x, c)),
  }));
  for (let k = 0; k < n; k++) {
    const [from, to] = [life.firstReading[k]!, life.firstReading[k + 1]!];
    day[k] = readings.day[life.reading[from]!]!;
    const temperature = life.temperatureKnown[k] ? noise.temperature : noise.unrecordedTemperature;
    ofLots[k] = sharedChange.varianceAt(k);
    shared[k] = noise.proportional + life.coefficient[k]! ** 2 * temperature + ofLots[k]!;
    for (let c = 0; c < COMPONENTS; c++) {
      quantitiesOfCheck(componentErrors[c]!, from, to, 1, 0, v, u);
      for (let q = 0; q < COUNT; q++) loading[q]![k * COMPONENTS + c] = v[q]!;
    }
    quantitiesOfCheck(columns, from, to, noise.repeatability, shared[k]!, v, u);
    for (let q = 0; q < COUNT; q++) {
      value[q]![k] = v[q]!;
      variance[q]![k] = u[q]!;
      if (telling[q]! < 0 && !Number.isNaN(v[q]!)) telling[q] = k;
    }
  }
  const rates = rateVariances(figures.population);
  const movement = Array.from(telling, (k, q) => {
    if (k < 0) return null;
    const first = loading[q]!.subarray(k * COMPONENTS, (k + 1) * COMPONENTS);
    return movementOf(figures.population, rates, first, life.startKnown);
  });
  const { repeatability } = noise;
  return { checks: life, day, value, variance, movement, loading, error, repeatability, shared, ofLots };
}

function componentAt(x: number, component: number): number {
  if (component === 0) return 1;
  if (component === 1) return x;
  return component === 2 ? curvatureLoading(x) : frictionLoading(x);
}

/**
 * Variance of how much more lots and baths add to a check than to the life's first: what they add to all checks alike
 * cannot look like a change. A workspace for one life.
 */
class SharedChange {
  private readonly life: LifeChecks;
  /** Of the life's effects, row-major in their order. */
  private readonly covariance: Float64Array;
  /** By effect of the life: its factor in the check asked for, minus that in the first. */
  private readonly change: Float64Array;
  private readonly changed: number[] = [];

  constructor(life: LifeChecks, covariance: Float64Array) {
    this.life = life;
    this.covariance = covariance;
    this.change = new Float64Array(life.effects.length);
  }

  /** Of check k. Unit: (% of reading)^2. */
  varianceAt(k: number): number {
    const { change, changed, covariance } = this;
    const n = change.length;
    change.fill(0);
    this.add(0, -1);
    this.add(k, 1);
    changed.length = 0;
    for (let e = 0; e < n; e++) if (change[e] !== 0) changed.push(e);
    let sum = 0;
    for (const e of changed) {
      for (const f of changed) sum += change[e]! * change[f]! * covariance[e * n + f]!;
    }
    return Math.max(0, sum);
  }

  private add(k: number, sign: number): void {
    const { effectStart, effect, factor } = this.life;
    for (let e = effectStart[k]!; e < effectStart[k + 1]!; e++) this.change[effect[e]!]! += sign * factor[e]!;
  }
}
