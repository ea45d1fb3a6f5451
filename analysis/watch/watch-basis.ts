import type { AlarmBudget } from "../control-charts/alarm-limits.ts";
import type { FleetFigures } from "../drift/figures.ts";
import { forecastContext } from "../drift/forecast-context.ts";
import { type FleetChecks, USE } from "../fleet.ts";
import { chartDesign, fleetBudget, strayShareOf } from "./design.ts";
import { lifeSeries } from "./life-series.ts";
import { fitLimits, type LimitTerms } from "./limits.ts";
import { bandNumber, QUANTITIES } from "./quantities.ts";
import { StreamChart } from "./stream-chart.ts";
import { offTogether } from "./together.ts";

/** What limits are set from: the fleet's budget, its stray readings, and how far its units move by themselves. */
export interface WatchBasis {
  readonly budget: AlarmBudget;
  /** Share of readings that are stray. */
  readonly strayShare: number;
  /** By quantity: share of the fleet model's movement of sound units that their levels show, 0 to 1. */
  readonly moving: readonly number[];
}

const YEAR = 365.25;

/** Units looked at for how far they move; fewer lives than this say nothing of it. */
const SAMPLE = 300;
const LEAST_LIVES = 20;

/** @returns null where nothing is charted. */
export function watchBasis(
  fleet: FleetChecks,
  figures: FleetFigures,
  perMonthPer100Units: number,
): WatchBasis | null {
  const budget = budgetOf(fleet, perMonthPer100Units);
  if (budget === null) return null;
  const { strayShare } = figures.population;
  return { budget, strayShare, moving: movingShares(fleet, figures, budget, strayShare) };
}

/** The terms of the limits of one quantity. */
export function limitTerms({ budget, strayShare, moving }: WatchBasis, q: number): LimitTerms {
  return {
    runLength: budget.runLength,
    strayShare: strayShareOf(q, strayShare),
    moving: moving[q]!,
  };
}

/**
 * How much of the movement that the fleet model gives to sound units their levels show.
 *
 * @remarks
 * The model cannot say that units do not move at all, and what little it says adds up over a year to more than the
 * scatter of a weighted mean; then a shift is found late. The median over all checks is that of the sound ones, as
 * long as they are most.
 */
function movingShares(
  fleet: FleetChecks,
  figures: FleetFigures,
  budget: AlarmBudget,
  strayShare: number,
): number[] {
  const context = forecastContext(fleet, figures);
  const chart = new StreamChart();
  const shares = QUANTITIES.map((): number[] => []);
  let lives = 0;
  const every = Math.ceil(fleet.units.length / SAMPLE);
  for (let u = 0; u < fleet.units.length; u += every) {
    for (const series of lifeSeries(context, fleet.units[u]!)) {
      const together = offTogether(series);
      lives++;
      for (let q = 0; q < QUANTITIES.length; q++) {
        const terms = { runLength: budget.runLength, strayShare: strayShareOf(q, strayShare), moving: 1 };
        const design = chartDesign(terms.runLength, terms.strayShare);
        if (!chart.run(series, q, together, fitLimits(series, q, terms), design, 1)) continue;
        for (let k = 0; k < series.day.length; k++) {
          if (!Number.isNaN(chart.movedShare[k]!)) shares[q]!.push(chart.movedShare[k]!);
        }
      }
    }
  }
  return shares.map((own) => (lives < LEAST_LIVES || own.length === 0 ? 1 : withinOne(median(own))));
}

function median(values: number[]): number {
  return Float64Array.from(values).sort()[Math.floor(values.length / 2)]!;
}

/** To one digit: limits shall not move with every check. */
function withinOne(share: number): number {
  return Number(Math.min(1, Math.max(0, share)).toFixed(1));
}

/** Budget from the charts that got a value in the last year of the record, and how many. */
export function budgetOf(fleet: FleetChecks, perMonthPer100Units: number): AlarmBudget | null {
  const lastDay = fleet.units.reduce(
    (last, { readings }) => Math.max(last, readings.day.at(-1) ?? last),
    -Infinity,
  );
  const fromDay = lastDay - YEAR;
  let firstDay = lastDay;
  let units = 0;
  let streams = 0;
  let values = 0;
  for (const { readings } of fleet.units) {
    let checks = 0;
    const seen = [false, false, false];
    for (let i = 0; i < readings.count; i++) {
      if (readings.use[i] === USE.shownOnly || readings.day[i]! < fromDay) continue;
      const band = bandNumber(readings.torque[i]! / 100);
      if (band < 0) continue;
      seen[band] = true;
      if (i === 0 || readings.check[i] !== readings.check[i - 1]) checks++;
      firstDay = Math.min(firstDay, readings.day[i]!);
    }
    if (checks === 0) continue;
    units++;
    // A level and a step chart each; zero and span from two bands on, nonlinearity from three.
    const bands = seen.filter(Boolean).length;
    const [line, bend] = [Number(bands > 1), Number(bands > 2)];
    const charts = 2 * (bands + 2 * line + bend) + line + bend;
    streams += charts;
    values += charts * checks;
  }
  const months = Math.max(1, ((lastDay - firstDay) / YEAR) * 12);
  return fleetBudget(units, streams, values / months, perMonthPer100Units);
}
