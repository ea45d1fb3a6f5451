import type { BackTest, ScoredForecast } from "../../../analysis/index.ts";
import { dayOfIso } from "../../../dashboard/assessment/days.ts";
import type { RecordView } from "../../../dashboard/assessment/views.ts";

/** Units given about one probability, and how many of them went out. */
const GIVEN = [
  { p: 0.004, units: 200, wentOut: 1 },
  { p: 0.1, units: 40, wentOut: 4 },
  { p: 0.3, units: 43, wentOut: 12 },
  { p: 0.5, units: 20, wentOut: 10 },
  { p: 0.9, units: 20, wentOut: 18 },
] as const;

/** A record in which forecasts came true, of forecasts made on three days. */
export function fixtureRecord(asOf: string): RecordView {
  const asOfDay = dayOfIso(asOf);
  const madeOnDays = [asOfDay - 546, asOfDay - 364, asOfDay - 182];
  const forecasts = GIVEN.flatMap(({ p, units, wentOut }, g) =>
    Array.from({ length: units }, (_, i): ScoredForecast => {
      const madeOnDay = madeOnDays[i % 3]!;
      return {
        instrument: `V-${g}${String(i).padStart(3, "0")}`,
        madeOnDay,
        serviceDay: madeOnDay + 160,
        p,
        plain: { lastValue: 0.2, mean: 0.2, straightLine: 0.4 },
        wentOut: i < wentOut,
        foundOnDay: i < wentOut ? madeOnDay + 90 : null,
      };
    }),
  );
  const backTest: BackTest = {
    madeOnDays,
    forecasts,
    brier: 0.06,
    skill: { overBaseRate: 0.5, overLastValue: 0.4, overStraightLine: -0.1 },
    reliability: [],
    leadTime: { wentOut: 45, announced: 28, medianDays: 90 },
    coverage: { checks: 900, half: 0.51, ninety: 0.89 },
  };
  return {
    asOf,
    revision: 1,
    record: { asOf, revision: 1, everyDays: 182, backTest },
    isCurrent: true,
    progress: null,
  };
}
