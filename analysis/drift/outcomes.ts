import { BAND_NAMES, bandOf } from "../band.ts";
import { normalCdf } from "../distributions/normal.ts";
import type { UnitChecks } from "../fleet.ts";
import type { ForecastContext } from "./forecast-context.ts";
import { livesOf, withoutShared } from "./life-checks.ts";
import { forwardModel } from "./out-ahead.ts";
import { errorAhead, partsAhead } from "./state-ahead.ts";
import { DAYS_A_YEAR } from "./time.ts";
import { unitPosterior } from "./unit-posterior.ts";
import { asKnownWith, spread } from "./unit-until.ts";

/** A service this much before its date says nothing about the time up to that date. Unit: days. */
const EARLY = 60;

/** Checks looked at between a forecast and its service, the last one always. */
const CHECKS_LOOKED_AT = 8;

/** A unit is taken to have been out at a check where that is likelier than not. */
const LIKELY = 0.5;

/** A reading of a later check, and where it fell in the forecast's distribution: 0 lowest, 1 highest. */
export interface LaterCheck {
  readonly rank: number;
}

/** What became of a unit up to its next service. */
export interface Outcome {
  readonly serviceDay: number;
  /** First looked-at check at which the unit was out; null: at none. */
  readonly foundOnDay: number | null;
  /** Holds the readings of the last check before the service against a forecast made before. */
  checksAgainst(context: ForecastContext, unit: UnitChecks): LaterCheck[];
}

/**
 * What became of a unit after a day, by its later checks up to its next service.
 *
 * @param today What is known now, with figures fitted to it.
 * @param unit As known now.
 * @param day Day of the forecast.
 * @param dueDay When its next service was then due.
 * @returns null where that is not known yet, where the service came much before its date, or where no check was made
 *   between the two.
 */
export function outcomeOf(
  today: ForecastContext,
  unit: UnitChecks,
  day: number,
  dueDay: number | null,
): Outcome | null {
  if (dueDay === null || unit.readings.count === 0) return null;
  const service = unit.services.find((s) => s.day > day && s.action !== "inspected")?.day ?? null;
  const ended = service ?? (dueDay < today.fleet.asOfDay ? dueDay : null);
  if (ended === null || ended < dueDay - EARLY) return null;
  const life = livesOf(unit, today.design).find(
    ({ startDay, endDay }) => startDay <= day + 1 && (endDay === null || endDay > day),
  );
  if (!life) return null;
  const later = Array.from({ length: life.checks }, (_, k) => k).filter((k) => {
    const on = life.startDay + life.year[k]! * DAYS_A_YEAR;
    return on > day + 1 && on < ended + 2;
  });
  const last = later.at(-1);
  if (last === undefined) return null;
  const lastReading = (k: number) => life.reading[life.firstReading[k + 1]! - 1]!;

  const foundOnDay = firstOut(
    today,
    unit,
    life.startDay,
    spread(later, CHECKS_LOOKED_AT).map((k) => lastReading(k)),
  );
  const error = withoutShared(life, today.estimates.value);
  const readings = Array.from(
    { length: life.firstReading[last + 1]! - life.firstReading[last]! },
    (_, i) => life.firstReading[last]! + i,
  ).filter((r) => bandOf(100 * life.span[r]!) !== null);
  return {
    serviceDay: ended,
    foundOnDay,
    checksAgainst(context, then) {
      const posterior = unitPosterior(context, then);
      const model = forwardModel(then, context.fleet, context.figures);
      const years = Math.max(
        0,
        (life.startDay + life.year[last]! * DAYS_A_YEAR - posterior.stateDay) / DAYS_A_YEAR,
      );
      const { repeatability, proportional } = posterior.noise;
      return readings.map((r) => {
        const x = life.span[r]!;
        const scatter = repeatability + proportional * x * x;
        let rank = 0;
        for (const part of partsAhead(posterior.states, errorAhead(model, x, years))) {
          rank += part.weight * normalCdf((error[r]! - part.mean) / Math.sqrt(part.sd ** 2 + scatter));
        }
        return { rank };
      });
    },
  };
}

/** Day of the first of some readings with which the unit was likelier out than not. */
function firstOut(
  today: ForecastContext,
  unit: UnitChecks,
  lifeStart: number,
  lastReadings: readonly number[],
): number | null {
  const model = forwardModel(unit, today.fleet, today.figures);
  for (const last of lastReadings) {
    const { states } = unitPosterior(today, asKnownWith(unit, last, lifeStart));
    const isOut = BAND_NAMES.some((_, b) => {
      const limit = model.bands.tolerance[b]!;
      let out = 0;
      for (const { weight, mean, sd } of partsAhead(states, errorAhead(model, model.bands.torque[b]!, 0))) {
        out += weight * (normalCdf((mean - limit) / sd) + normalCdf((-limit - mean) / sd));
      }
      return out > LIKELY;
    });
    if (isOut) return unit.readings.day[last]!;
  }
  return null;
}
