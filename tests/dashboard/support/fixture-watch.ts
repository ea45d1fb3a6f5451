import type { BandName, QuantityChart, UnitWatch, WatchSignal } from "../../../analysis/index.ts";
import type { UnitReading } from "../../../dashboard/assessment/views.ts";

const CHECKS_FITTED = 8;
const [SD, WEIGHT, LIMIT, SUM_LIMIT] = [0.06, 0.2, 3.2, 5.4];

/** Charts of the three bands over the present life: fit to look at, by the textbook's recursions on invented readings. */
export function fixtureWatch(instrument: string, inLife: readonly UnitReading[]): UnitWatch {
  const charts = (["low", "medium", "high"] as const).flatMap((band) => bandChart(band, inLife));
  const signals = charts.flatMap((chart) => levelSignals(instrument, chart));
  return { charts, signals: signals.sort((a, b) => a.onDay - b.onDay), newLimits: [] };
}

function bandChart(band: BandName, inLife: readonly UnitReading[]): QuantityChart[] {
  const readings = inLife.filter((reading) => reading.band === band && reading.use > 0);
  if (readings.length <= CHECKS_FITTED) return [];
  const values = readings.map((reading) => (reading.errorWithoutSharedCauses ?? 0) / reading.tolerance);
  const mean = values.slice(0, CHECKS_FITTED).reduce((sum, value) => sum + value, 0) / CHECKS_FITTED;
  let [level, up, down] = [0, 0, 0];
  const points = readings.map(({ day }, i) => {
    const score = (values[i]! - mean) / SD;
    level += WEIGHT * (score - level);
    up = Math.max(0, up + score - 0.5);
    down = Math.max(0, down - score - 0.5);
    const weighted = level / Math.sqrt(WEIGHT / (2 - WEIGHT));
    const step = i === 0 ? 0 : (values[i]! - values[i - 1]!) / (SD * Math.SQRT2);
    return { day, value: values[i]!, sd: SD, level: weighted, step, scatter: null, sumUp: up, sumDown: down };
  });
  return [
    {
      quantity: band,
      baseline: {
        quantity: band,
        mean,
        scale: 1,
        meanWeight: CHECKS_FITTED / SD ** 2,
        df: 17,
        checks: CHECKS_FITTED,
        fromDay: readings[0]!.day,
        toDay: readings[CHECKS_FITTED - 1]!.day,
        centreDay: readings[CHECKS_FITTED >> 1]!.day,
        runLength: 2400,
        strayShare: 0,
        levelFactor: null,
        rateVariance: null,
        wanderVariance: null,
      },
      limits: { runLength: 2400, level: LIMIT, clip: LIMIT, check: 3.8, step: 2.3, pair: 4, scatter: 30 },
      cusumInterval: SUM_LIMIT,
      points,
      changes: [],
      likeliestStep: null,
      notes: [],
    },
  ];
}

function levelSignals(instrument: string, { quantity, points, limits }: QuantityChart): WatchSignal[] {
  const first = points.find((point, i) => i >= CHECKS_FITTED && Math.abs(point.level) > limits.level);
  if (first === undefined) return [];
  return [
    {
      instrument,
      onDay: first.day,
      chart: "level",
      quantity,
      size: first.level,
      limit: limits.level,
      change: first.value,
      confirmed: false,
      betweenDays: null,
      changed: [],
      withinCheck: null,
    },
  ];
}
