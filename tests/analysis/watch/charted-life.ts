import { curvatureLoading, frictionLoading } from "../../../analysis/drift/components.ts";
import { POPULATION_BEFORE_DATA, type Population } from "../../../analysis/drift/population.ts";
import type { LifeSeries } from "../../../analysis/watch/life-series.ts";
import type { Movement } from "../../../analysis/watch/movement.ts";
import { QUANTITIES, quantitiesOfCheck } from "../../../analysis/watch/quantities.ts";
import type { Random } from "../../support/random.ts";

export const NONLINEARITY = QUANTITIES.indexOf("nonlinearity");

/** Units that stay where they are; values scatter with a standard deviation of 1. */
const STILL: Movement = { startMean: 0, startVariance: 0.25, soundRate: 1e-9, anyRate: 1e-9, wander: 0 };

/** One quantity over one life with weekly checks, `course` added to a start and independent scatter. */
export function quantityLife(
  random: Random,
  checks: number,
  course: (k: number) => number,
  startSd = 0.5,
): LifeSeries {
  const start = startSd * random.normal();
  const value = Float64Array.from({ length: checks }, (_, k) => start + course(k) + random.normal());
  const empty = new Float64Array(checks).fill(Number.NaN);
  const day = Float64Array.from({ length: checks }, (_, k) => 7 * k);
  return {
    checks: { year: day.map((d) => d / 365.25), startDay: 0, startKnown: true } as LifeSeries["checks"],
    day,
    value: QUANTITIES.map((_, q) => (q === NONLINEARITY ? value : empty)),
    variance: QUANTITIES.map(() => new Float64Array(checks).fill(1)),
    scatterDf: 40,
    baselineFromDay: 0,
    movement: QUANTITIES.map((_, q) => (q === NONLINEARITY ? STILL : null)),
    loading: [],
    error: empty,
    repeatability: 1,
    shared: empty,
    ofLots: empty,
    startWidening: 1,
  };
}

/** A fleet whose sound units hardly move, and a few drift. */
export const POPULATION: Population = {
  ...POPULATION_BEFORE_DATA,
  wander: [1e-4, 1e-4, 1e-4, 1e-4],
  soundVariance: [0.01, 0.02, 0.01, 0.002, 1e-4, 1e-4, 1e-4, 1e-4, 1e-4],
  soundMean: new Array<number>(9).fill(0),
};

/** Scatter of one reading. Unit: % of full scale. */
export const SD = 0.1;

/**
 * A life with readings at three torques that change from check to check, as fluids are changed.
 *
 * @param own Error of the unit at torque fraction x, check k, year t, without scatter. Unit: % of full scale.
 */
export function readingLife(
  random: Random,
  checks: number,
  daysBetween: number,
  own: (x: number, k: number, t: number) => number,
): LifeSeries {
  const count = 3 * checks;
  const span = Float64Array.from(
    { length: count },
    (_, r) => [0.15, 0.5, 0.85][r % 3]! + 0.05 * (Math.floor(r / 3) % 3),
  );
  const day = Float64Array.from({ length: checks }, (_, k) => daysBetween * (k + 1));
  const year = day.map((d) => d / 365.25);
  const error = span.map((x, r) => {
    const k = Math.floor(r / 3);
    return own(x, k, year[k]!) + SD * random.normal();
  });
  const tolerance = span.map((x) => 2 + x);
  const varianceFactor = new Float64Array(count).fill(1);
  const columns = (of: Float64Array) => ({ torque: span, error: of, tolerance, varianceFactor });
  const curvature = span.map(curvatureLoading);
  const friction = span.map(frictionLoading);
  const components = [span.map(() => 1), span, curvature, friction].map(columns);
  const value = QUANTITIES.map(() => new Float64Array(checks));
  const variance = QUANTITIES.map(() => new Float64Array(checks));
  const loading = QUANTITIES.map(() => new Float64Array(4 * checks));
  const [v, u] = [new Float64Array(QUANTITIES.length), new Float64Array(QUANTITIES.length)];
  for (let k = 0; k < checks; k++) {
    components.forEach((component, c) => {
      quantitiesOfCheck(component, 3 * k, 3 * k + 3, 1, 0, v, u);
      QUANTITIES.forEach((_, q) => {
        loading[q]![4 * k + c] = v[q]!;
      });
    });
    quantitiesOfCheck(columns(error), 3 * k, 3 * k + 3, SD ** 2, 0, v, u);
    QUANTITIES.forEach((_, q) => {
      value[q]![k] = v[q]!;
      variance[q]![k] = u[q]!;
    });
  }
  const firstReading = Int32Array.from({ length: checks + 1 }, (_, k) => 3 * k);
  return {
    checks: {
      year,
      startDay: 0,
      startKnown: true,
      checks,
      firstReading,
      span,
      curvature,
      friction,
      varianceFactor,
    } as unknown as LifeSeries["checks"],
    day,
    value,
    variance,
    scatterDf: 40,
    baselineFromDay: 0,
    movement: QUANTITIES.map(() => STILL),
    loading,
    error,
    repeatability: SD ** 2,
    shared: new Float64Array(checks),
    ofLots: new Float64Array(checks),
    startWidening: 1,
  };
}
