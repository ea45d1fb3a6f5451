import type { FleetChecks, UnitChecks } from "../fleet.ts";
import { brierScore, brierSkill, type ReliabilityBin, reliabilityBins } from "../scores.ts";
import type { FleetFigures } from "./figures.ts";
import { fitFleet } from "./fit-fleet.ts";
import { type ForecastContext, forecastContext } from "./forecast-context.ts";
import { forecastIn } from "./forecast-unit.ts";
import { type LaterCheck, outcomeOf } from "./outcomes.ts";
import { type PlainForecasts, plainForecasts } from "./plain-models.ts";

/** One forecast made in the past whose outcome is known by now. */
export interface ScoredForecast {
  readonly instrument: string;
  /** Day on which it was made, and the service it was made for. */
  readonly madeOnDay: number;
  readonly serviceDay: number;
  readonly p: number;
  readonly plain: PlainForecasts | null;
  readonly wentOut: boolean;
  /** First check from which the unit was out; null: it was not. */
  readonly foundOnDay: number | null;
}

/** How often the stated intervals held what later checks saw. */
export interface Coverage {
  readonly checks: number;
  /** Share of later readings within the 50 % and the 90 % interval. */
  readonly half: number;
  readonly ninety: number;
}

/** Of the units that went out, how many were announced and how long before. */
export interface LeadTime {
  readonly wentOut: number;
  /** Announced: given at least {@link ANNOUNCED} before they were found out. */
  readonly announced: number;
  /** Days from the first announcement to the check that found it; null where none was announced. */
  readonly medianDays: number | null;
}

/** The forecast's own record. Scores are null where they say nothing: no forecast, or all outcomes alike. */
export interface BackTest {
  readonly madeOnDays: readonly number[];
  readonly forecasts: readonly ScoredForecast[];
  readonly brier: number | null;
  /** 1 - Brier score over that of the reference on the same forecasts. */
  readonly skill: {
    readonly overBaseRate: number | null;
    readonly overLastValue: number | null;
    readonly overStraightLine: number | null;
  };
  readonly reliability: readonly ReliabilityBin[];
  readonly leadTime: LeadTime;
  readonly coverage: Coverage | null;
}

/** From this probability on a unit counts as announced. */
export const ANNOUNCED = 0.5;

/**
 * Replays the past one day after the other, so that no more than one fleet of the past need be held at once.
 *
 * @remarks
 * Whether a unit really left tolerance is never known; it is judged by the checks up to and at its next service,
 * with lots and baths taken away as they are known today. Only forecasts whose service has come are scored, whatever
 * became of the unit, so that bad news is not counted earlier than good.
 */
export class BackTester {
  private readonly today: ForecastContext;
  private readonly unitNow: ReadonlyMap<string, UnitChecks>;
  private readonly madeOnDays: number[] = [];
  private readonly forecasts: ScoredForecast[] = [];
  private readonly later: LaterCheck[] = [];

  /**
   * @param now The fleet as known today: gives the outcomes.
   * @param figures What was learnt from it.
   */
  constructor(now: FleetChecks, figures: FleetFigures) {
    this.today = forecastContext(now, figures);
    this.unitNow = new Map(now.units.map((unit) => [unit.instrument, unit]));
  }

  /**
   * Makes the forecasts of a day in the past and holds them against what came.
   *
   * @param then The fleet as known at the end of its `asOfDay`, and nothing later.
   * @param figures What was learnt from it then.
   */
  replay(then: FleetChecks, figures: FleetFigures): void {
    const day = then.asOfDay;
    this.madeOnDays.push(day);
    const context = forecastContext(then, figures);
    for (const unit of then.units) {
      const known = this.unitNow.get(unit.instrument);
      const outcome = known && outcomeOf(this.today, known, day, unit.nextServiceDueDay);
      if (!outcome) continue;
      const { pOutBeforeService: p } = forecastIn(context, unit);
      if (p === null) continue;
      this.forecasts.push({
        instrument: unit.instrument,
        madeOnDay: day,
        serviceDay: outcome.serviceDay,
        p,
        plain: plainForecasts(unit, outcome.serviceDay),
        wentOut: outcome.foundOnDay !== null,
        foundOnDay: outcome.foundOnDay,
      });
      this.later.push(...outcome.checksAgainst(context, unit));
    }
  }

  /** The record of the days replayed so far. */
  record(): BackTest {
    return {
      madeOnDays: [...this.madeOnDays],
      forecasts: [...this.forecasts],
      ...scoresOf(this.forecasts),
      coverage: coverageOf(this.later),
    };
  }
}

/**
 * Replays several days at once, with what each day's fleet teaches.
 *
 * @param fleetAt The fleet as known at the end of a day, and nothing later.
 * @param madeOnDays Days on which forecasts are made.
 * @param learn Learns a fleet's figures; {@link fitFleet} unless told otherwise.
 */
export function backTest(
  now: FleetChecks,
  fleetAt: (day: number) => FleetChecks,
  madeOnDays: readonly number[],
  learn: (fleet: FleetChecks) => FleetFigures = fitFleet,
): BackTest {
  const tester = new BackTester(now, learn(now));
  for (const day of madeOnDays) {
    const then = fleetAt(day);
    tester.replay(then, learn(then));
  }
  return tester.record();
}

/** Everything that follows from the forecasts alone; for those of some units as well as of all. */
export function scoresOf(forecasts: readonly ScoredForecast[]) {
  const p = forecasts.map((f) => f.p);
  const outcomes = forecasts.map((f) => f.wentOut);
  const comparable = forecasts.filter((f) => f.plain !== null);
  const over = (plain: (forecasts: PlainForecasts) => number): number | null => {
    if (comparable.length === 0) return null;
    const came = comparable.map((f) => f.wentOut);
    const reference = brierScore(
      comparable.map((f) => plain(f.plain!)),
      came,
    );
    return reference === 0
      ? null
      : 1 -
          brierScore(
            comparable.map((f) => f.p),
            came,
          ) /
            reference;
  };
  const isEmpty = forecasts.length === 0;
  return {
    brier: isEmpty ? null : brierScore(p, outcomes),
    skill: {
      overBaseRate: isEmpty ? null : brierSkill(p, outcomes),
      overLastValue: over((plain) => plain.lastValue),
      overStraightLine: over((plain) => plain.straightLine),
    },
    reliability: isEmpty ? [] : reliabilityBins(p, outcomes),
    leadTime: leadTimeOf(forecasts),
  };
}

/**
 * Every service of a unit that went out counts once, by its earliest announcement.
 *
 * @remarks The finding is the first that any of its forecasts saw: who says it of a unit that is out already announces
 * nothing.
 */
export function leadTimeOf(forecasts: readonly ScoredForecast[]): LeadTime {
  const lives = Map.groupBy(
    forecasts.filter((f) => f.wentOut),
    (f) => `${f.instrument} ${f.serviceDay}`,
  );
  const days: number[] = [];
  for (const life of lives.values()) {
    const found = Math.min(...life.map((f) => f.foundOnDay!));
    const announced = life.filter((f) => f.p >= ANNOUNCED && f.madeOnDay < found);
    if (announced.length > 0) days.push(found - Math.min(...announced.map((f) => f.madeOnDay)));
  }
  days.sort((a, b) => a - b);
  return {
    wentOut: lives.size,
    announced: days.length,
    medianDays: days[Math.floor(days.length / 2)] ?? null,
  };
}

function coverageOf(later: readonly LaterCheck[]): Coverage | null {
  if (later.length === 0) return null;
  const within = (share: number) =>
    later.filter(({ rank }) => Math.abs(rank - 0.5) <= share / 2).length / later.length;
  return { checks: later.length, half: within(0.5), ninety: within(0.9) };
}
