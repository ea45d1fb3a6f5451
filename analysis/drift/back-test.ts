import type { FleetChecks } from "../fleet.ts";
import { brierScore, brierSkill, type ReliabilityBin, reliabilityBins } from "../scores.ts";
import type { FleetFigures } from "./figures.ts";
import { fitFleet } from "./fit-fleet.ts";
import { forecastContext } from "./forecast-context.ts";
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
 * Replays the past: forecasts at several days with what was known then, held against what came.
 *
 * @remarks
 * Whether a unit really left tolerance is never known; it is judged by the checks up to and at its next service,
 * with lots and baths taken away as they are known today. Only forecasts whose service has come are scored, whatever
 * became of the unit, so that bad news is not counted earlier than good.
 *
 * @param now The fleet as known today: gives the outcomes.
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
  const today = forecastContext(now, learn(now));
  const unitNow = new Map(now.units.map((unit) => [unit.instrument, unit]));
  const forecasts: ScoredForecast[] = [];
  const later: LaterCheck[] = [];
  for (const day of madeOnDays) {
    const then = fleetAt(day);
    const context = forecastContext(then, learn(then));
    for (const unit of then.units) {
      const known = unitNow.get(unit.instrument);
      const outcome = known && outcomeOf(today, known, day, unit.nextServiceDueDay);
      if (!outcome) continue;
      const { pOutBeforeService: p } = forecastIn(context, unit);
      if (p === null) continue;
      forecasts.push({
        instrument: unit.instrument,
        madeOnDay: day,
        serviceDay: outcome.serviceDay,
        p,
        plain: plainForecasts(unit, outcome.serviceDay),
        wentOut: outcome.foundOnDay !== null,
        foundOnDay: outcome.foundOnDay,
      });
      later.push(...outcome.checksAgainst(context, unit));
    }
  }
  return { madeOnDays, forecasts, ...scoresOf(forecasts), coverage: coverageOf(later) };
}

function scoresOf(forecasts: readonly ScoredForecast[]) {
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

/** Every life that went out counts once, by its earliest announcement. */
function leadTimeOf(forecasts: readonly ScoredForecast[]): LeadTime {
  const lives = Map.groupBy(
    forecasts.filter((f) => f.wentOut && f.madeOnDay < f.foundOnDay!),
    (f) => `${f.instrument} ${f.serviceDay}`,
  );
  const days: number[] = [];
  for (const life of lives.values()) {
    const announced = life.filter((f) => f.p >= ANNOUNCED).map((f) => f.foundOnDay! - f.madeOnDay);
    if (announced.length > 0) days.push(Math.max(...announced));
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
