import type { ReviewView } from "../../../dashboard/assessment/views.ts";
import type { FixtureUnit } from "./fixture-unit.ts";

/** The drifting units of an invented fleet as a review list; every second one with a signal two days ago. */
export function fixtureReview(fleet: readonly FixtureUnit[], asOfDay: number): ReviewView {
  const striking = fleet.filter(
    ({ pattern, forecast }) => pattern !== "none" && forecast.state !== "unjudged",
  );
  return {
    budget: { falseAlarmsPerMonth: 1, streams: 400, runLength: 2400 },
    fromDay: asOfDay - 6,
    review: striking.map(({ record }, i) => ({
      instrument: record.instrument,
      p: 10 ** -(2 + i),
      quantity: "span",
      because: i % 2 === 0 ? "level" : "rate",
    })),
    signals: striking
      .filter((_, i) => i % 2 === 0)
      .map(({ record }) => ({
        instrument: record.instrument,
        onDay: asOfDay - 2,
        chart: "level",
        quantity: "span",
        size: 3.6,
        limit: 3.2,
        change: 1.1,
        confirmed: false,
        betweenDays: null,
        changed: [],
        withinCheck: null,
      })),
  };
}
