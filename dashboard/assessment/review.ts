import {
  type FleetChecks,
  type FleetFigures,
  inOrder,
  type LimitBasis,
  type ReviewEntry,
  reviewList,
  type WatchBasis,
  type WatchSignal,
  watchUnits,
} from "../../analysis/index.ts";
import type { Store } from "../../ingest/index.ts";
import { type AfterLook, allUnits } from "./after-look.ts";
import type { ChangedRun } from "./assess-store.ts";
import { dayOfIso } from "./days.ts";
import type { ReviewView } from "./views.ts";
import { keepLimits, keptLimits } from "./watch-store.ts";

/** Signals of so many days are news to somebody who looks in every week. */
const NEWS_DAYS = 7;

/** On what terms units are charted. */
export interface ChartTerms {
  readonly basis: LimitBasis;
  readonly perMonthPer100Units: number;
  /** Signals from this day on are news. */
  readonly fromDay: number;
}

/** What the charts of one unit say this week. */
export interface UnitCharts {
  readonly news: readonly WatchSignal[];
  /** Empty where nothing is charted. */
  readonly tests: readonly ReviewEntry[];
  /** Whether the limits that were frozen for it could be kept. */
  readonly areLimitsKept: boolean;
}

/** Charts some units of a fleet; what is frozen now is kept. */
export async function chartUnits(
  store: Store,
  asOf: string,
  fleet: FleetChecks,
  figures: FleetFigures,
  { basis, perMonthPer100Units, fromDay }: ChartTerms,
): Promise<ReadonlyMap<string, UnitCharts>> {
  const instruments = fleet.units.map(({ instrument }) => instrument);
  const kept = [];
  for (const instrument of instruments) kept.push(...(await keptLimits(store, asOf, instrument)));
  const { signals, tests, newLimits } = watchUnits(fleet, figures, basis, { perMonthPer100Units, kept });
  const areKept = await keepLimits(store, asOf, newLimits);
  const unkept = new Set(areKept ? [] : newLimits.map(({ instrument }) => instrument));
  const newsOf = Map.groupBy(
    signals.filter(({ onDay }) => onDay >= fromDay),
    ({ instrument }) => instrument,
  );
  const testsOf = Map.groupBy(tests, ({ instrument }) => instrument);
  return new Map(
    instruments.map((instrument) => [
      instrument,
      {
        news: newsOf.get(instrument) ?? [],
        tests: testsOf.get(instrument) ?? [],
        areLimitsKept: !unkept.has(instrument),
      },
    ]),
  );
}

/** The weekly review of the whole fleet. */
export async function reviewOf(
  after: Pick<AfterLook, "charts">,
  run: ChangedRun,
  asOf: string,
): Promise<ReviewView> {
  const fromDay = dayOfIso(asOf) + 1 - NEWS_DAYS;
  const { watchBasis, settings } = run;
  if (watchBasis === null) return { budget: null, fromDay, signals: [], review: [] };
  const answers = await after.charts.of(
    run,
    asOf,
    {
      basis: limitBasis(watchBasis),
      perMonthPer100Units: settings.alarms.per_month_per_100_units,
      fromDay,
    },
    allUnits(run),
  );
  // Where another process was writing, the next look keeps them.
  const unkept = [...answers].filter(([, { areLimitsKept }]) => !areLimitsKept);
  after.charts.forget(unkept.map(([instrument]) => instrument));
  const charts = [...answers.values()];
  return {
    budget: watchBasis.budget,
    fromDay,
    signals: inOrder(charts.flatMap(({ news }) => news)),
    review: reviewList(charts.flatMap(({ tests }) => tests)),
  };
}

/** Without the number of charts, which changes with many a file, and no limit with it. */
function limitBasis({ budget, ...basis }: WatchBasis): LimitBasis {
  return { ...basis, budget: { runLength: budget.runLength } };
}
