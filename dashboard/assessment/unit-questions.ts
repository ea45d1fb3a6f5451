import type { FleetFigures, FoundReturn, LotUse, ReturnedUnit } from "../../analysis/index.ts";
import { forecastReturns } from "../../analysis/index.ts";
import type { Store } from "../../ingest/index.ts";
import type { Settings } from "../settings.ts";
import { readingsUntil } from "./fleet-course.ts";
import { lotsOfUnits } from "./fluids-view.ts";
import { type LoadedFleet, loadFleet } from "./load-fleet.ts";
import { type ChartTerms, chartUnits, type UnitCharts } from "./review.ts";
import type { FoundUnit } from "./service-desk.ts";
import { foundUnits } from "./service-facts.ts";
import { type UnitAhead, unitsAhead } from "./unit-ahead.ts";

/**
 * What is asked of units one by one once the fleet was looked at: on which terms, what beside its own checks is told of
 * a unit, and what the answer is. Plain data, so that it may be asked in another thread, and kept.
 */
export interface UnitQuestions {
  readonly charts: { readonly terms: ChartTerms; readonly told: null; readonly answer: UnitCharts };
  readonly ahead: { readonly terms: null; readonly told: null; readonly answer: UnitAhead };
  readonly lots: { readonly terms: null; readonly told: null; readonly answer: readonly LotUse[] };
  /** How many readings it had by the end of each of some days. */
  readonly past: {
    readonly terms: { readonly ends: readonly string[] };
    readonly told: null;
    readonly answer: readonly number[];
  };
  /** Told: what services since some day found. */
  readonly returned: {
    readonly terms: null;
    readonly told: readonly FoundReturn[];
    readonly answer: readonly ReturnedUnit[];
  };
  /** Told: whether the forecast calls it out now. */
  readonly found: {
    readonly terms: { readonly fromDay: number };
    readonly told: { readonly outNow: boolean };
    readonly answer: readonly FoundUnit[];
  };
}
export type Ask = keyof UnitQuestions;

/** A question to some units, by what a look found the fleet to be. */
export interface UnitOrder<A extends Ask> {
  readonly ask: A;
  readonly terms: UnitQuestions[A]["terms"];
  readonly units: readonly (readonly [instrument: string, told: UnitQuestions[A]["told"]])[];
  readonly asOf: string;
  readonly settings: Settings;
  readonly figures: FleetFigures;
}

/** One after the other, so that no more of the fleet is in memory than these. */
const UNITS_AT_ONCE = 500;

type Answers<A extends Ask> = ReadonlyMap<string, UnitQuestions[A]["answer"]>;

const ANSWERED: {
  readonly [A in Ask]: (
    store: Store,
    loaded: LoadedFleet,
    order: UnitOrder<A>,
  ) => Answers<A> | Promise<Answers<A>>;
} = {
  charts: (store, { fleet }, { asOf, figures, terms }) => chartUnits(store, asOf, fleet, figures, terms),
  ahead: (_, { fleet }, { figures }) => unitsAhead(fleet, figures),
  lots: (_, { fleet }, { figures }) => lotsOfUnits(fleet, figures),
  past: (_, { fleet }, { terms }) => readingsUntil(fleet, terms.ends),
  returned: (_, { fleet }, { figures, units }) =>
    Map.groupBy(
      forecastReturns(
        fleet,
        figures,
        units.flatMap(([, found]) => found),
      ),
      ({ instrument }) => instrument,
    ),
  found: (store, loaded, { figures, units, terms: { fromDay } }) => {
    const outNow = new Set(units.filter(([, told]) => told.outNow).map(([instrument]) => instrument));
    return foundUnits(store, loaded, figures, outNow, fromDay);
  },
};

/** The answers about an order's units, by instrument; a unit that is gone has none. */
export async function answerUnits<A extends Ask>(store: Store, order: UnitOrder<A>): Promise<Answers<A>> {
  const { ask, units, asOf, settings } = order;
  const answers = new Map<string, UnitQuestions[A]["answer"]>();
  for (let from = 0; from < units.length; from += UNITS_AT_ONCE) {
    const part = units.slice(from, from + UNITS_AT_ONCE);
    const instruments = part.map(([instrument]) => instrument);
    const loaded = await loadFleet(store, asOf, settings, { instruments });
    for (const [instrument, answer] of await ANSWERED[ask](store, loaded, { ...order, units: part })) {
      answers.set(instrument, answer);
    }
  }
  return answers;
}
