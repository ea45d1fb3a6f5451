import type { ReturnsQuestion } from "../../../dashboard/assessment/booking-problem.ts";
import { isoWeekOf, mondayOf } from "../../../dashboard/assessment/iso-weeks.ts";
import { planReturns, type ReturnsPlan } from "../../../dashboard/assessment/plan-returns.ts";
import type { ReturnsInput } from "../../../dashboard/assessment/returns-input.ts";
import type { ReturnsView } from "../../../dashboard/assessment/views.ts";
import { DEFAULT_SETTINGS } from "../../../dashboard/settings.ts";
import type { FixtureUnit } from "./fixture-unit.ts";

const WEEKS = 80;

const made = new Map<string, Promise<ReturnsPlan>>();

/** Each fleet and question once: a page links to itself many times. */
function planOnce(input: ReturnsInput, question: ReturnsQuestion): Promise<ReturnsPlan> {
  const key = JSON.stringify([input.units.length, question, [...question.fixed]]);
  const plan = made.get(key) ?? planReturns(input, question, DEFAULT_SETTINGS, 5);
  made.set(key, plan);
  return plan;
}

/** Return plans of an invented fleet: each unit's risk rises evenly up to that of its forecast. */
export async function fixtureReturns(
  fleet: readonly FixtureUnit[],
  asOfDay: number,
  questions: readonly ReturnsQuestion[],
): Promise<ReturnsView> {
  const weeks = Array.from({ length: WEEKS }, (_, w) => ({
    name: isoWeekOf(mondayOf(asOfDay) + 7 * w),
    firstDay: Math.max(asOfDay, mondayOf(asOfDay) + 7 * w),
  }));
  const input: ReturnsInput = {
    asOfDay,
    weeks,
    returned: fleet.slice(0, 8).map(({ record, forecast, lifeStartDay }, i) => ({
      instrument: record.instrument,
      site: record.site,
      servicedDay: lifeStartDay,
      forecast: forecast.pOutNow,
      wasSound: i % 3 > 0,
      asFound: i % 3 > 0 ? 0.4 : 1.3,
      asLeft: i % 2 === 0 ? 0.1 : null,
    })),
    units: fleet.map(({ record, forecast, dueDay }) => ({
      instrument: record.instrument,
      site: record.site,
      modelClass: record.modelClass,
      geometry: "cup-B",
      dueDay,
      lastCheckDay: forecast.lastCheckDay,
      keptWeek: null,
      outBy:
        forecast.pOutNow === null
          ? null
          : weeks.map(({ firstDay }) => {
              const share = Math.min(1, Math.max(0, (firstDay - asOfDay) / Math.max(1, dueDay - asOfDay)));
              return forecast.pOutNow! + share * (forecast.pOutBeforeService! - forecast.pOutNow!);
            }),
    })),
  };
  const plans = await Promise.all(questions.map((question) => planOnce(input, question)));
  return { input, plans, settings: DEFAULT_SETTINGS };
}
