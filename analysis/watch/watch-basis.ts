import type { AlarmBudget } from "../control-charts/alarm-limits.ts";
import type { FleetFigures } from "../drift/figures.ts";
import { forecastContext } from "../drift/forecast-context.ts";
import { type FleetChecks, USE } from "../fleet.ts";
import { chartDesign, fleetBudget, levelSignalsPerCheck, type SolvedDesign, strayShareOf } from "./design.ts";
import { LevelChart } from "./level-chart.ts";
import { levelFactors } from "./level-factor.ts";
import { type LifeSeries, lifeSeries } from "./life-series.ts";
import { fitLimits, type LimitTerms } from "./limits.ts";
import { bandNumber, QUANTITIES } from "./quantities.ts";
import { hasSlips } from "./slips.ts";

/** What limits are set from: the fleet's budget, its stray readings, and how far its units move by themselves. */
export interface LimitBasis {
  readonly budget: Pick<AlarmBudget, "runLength">;
  /** Share of readings that are stray. */
  readonly strayShare: number;
  /** By quantity: share of the fleet model's movement of sound units that their levels show, 0 to 1. */
  readonly moving: readonly number[];
  /** By quantity: what the limits of level charts are multiplied by. */
  readonly levelFactors: readonly number[];
  /** Whether checks are now and then off in all bands and right again with the next. */
  readonly hasSlips: boolean;
  /** By quantity, as each takes a tenth of a second and more to solve: threads take them over from here. */
  readonly designs: readonly SolvedDesign[];
}

/** The same with the whole budget. */
export interface WatchBasis extends LimitBasis {
  readonly budget: AlarmBudget;
}

const YEAR = 365.25;

/** Units looked at for how far they move; fewer lives than this say nothing of it. */
const SAMPLE = 300;
const LEAST_LIVES = 20;

/** Lives looked at for slips. */
const SAMPLE_FOR_SLIPS = 150;

/** @returns null where nothing is charted. */
export function watchBasis(
  fleet: FleetChecks,
  figures: FleetFigures,
  perMonthPer100Units: number,
): WatchBasis | null {
  const budget = budgetOf(fleet, perMonthPer100Units);
  if (budget === null) return null;
  const { strayShare } = figures.population;
  const lives = sampleOf(fleet, figures);
  const still: WatchBasis = {
    budget,
    strayShare,
    moving: QUANTITIES.map(() => 1),
    levelFactors: QUANTITIES.map(() => 1),
    hasSlips: false,
    designs: [],
  };
  const moving = movingShares(lives, still);
  const basis = { ...still, moving };
  const termsOf = (q: number) => {
    const terms = limitTerms(basis, q);
    return { terms, design: chartDesign(terms.runLength, terms.strayShare) };
  };
  return {
    ...basis,
    levelFactors: levelFactors(lives, termsOf, levelSignalsPerCheck(budget.runLength)),
    designs: QUANTITIES.map((_, q) => {
      const { terms, design } = termsOf(q);
      return { strayShare: terms.strayShare, design };
    }),
    hasSlips: hasSlips(
      lives.filter((_, l) => l % Math.ceil(lives.length / SAMPLE_FOR_SLIPS) === 0),
      figures.population,
      (series, q) => {
        const { terms, design } = termsOf(q);
        return { limits: fitLimits(series, q, terms), design };
      },
    ),
  };
}

/** Lives of up to 300 units, spread over the fleet. */
function sampleOf(fleet: FleetChecks, figures: FleetFigures): LifeSeries[] {
  const context = forecastContext(fleet, figures);
  const every = Math.ceil(fleet.units.length / SAMPLE);
  return fleet.units.filter((_, u) => u % every === 0).flatMap((unit) => lifeSeries(context, unit));
}

/** The terms of the limits of one quantity. */
export function limitTerms(basis: LimitBasis, q: number): LimitTerms {
  const { budget, strayShare, levelFactors, moving } = basis;
  return {
    runLength: budget.runLength,
    strayShare: strayShareOf(q, strayShare),
    levelFactor: levelFactors[q]!,
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
function movingShares(sample: readonly LifeSeries[], basis: WatchBasis): number[] {
  const chart = new LevelChart();
  const shares = QUANTITIES.map((): number[] => []);
  for (const series of sample) {
    for (let q = 0; q < QUANTITIES.length; q++) {
      const terms = limitTerms(basis, q);
      const design = chartDesign(terms.runLength, terms.strayShare);
      if (!chart.run(series, q, fitLimits(series, q, terms), design, 1)) continue;
      for (let k = 0; k < series.day.length; k++) {
        if (!Number.isNaN(chart.movedShare[k]!)) shares[q]!.push(chart.movedShare[k]!);
      }
    }
  }
  const lives = sample.length;
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
    // Three charts each; zero and span from two bands on, nonlinearity from three.
    const bands = seen.filter(Boolean).length;
    const [line, bend] = [Number(bands > 1), Number(bands > 2)];
    const charts = 3 * (bands + 2 * line + bend);
    streams += charts;
    values += charts * checks;
  }
  const months = Math.max(1, ((lastDay - firstDay) / YEAR) * 12);
  return fleetBudget(units, streams, values / months, perMonthPer100Units);
}
