import { assessStore } from "../../dashboard/assessment/assess-store.ts";
import { learnOnThreads } from "../../dashboard/assessment/learn-on-threads.ts";
import { loadFleet } from "../../dashboard/assessment/load-fleet.ts";
import { DEFAULT_SETTINGS } from "../../dashboard/settings.ts";
import { openStore, type ReadingColumns, type Store } from "../../ingest/index.ts";
import { bareFilterAndMixture, bareFleet } from "./bare-filter.ts";
import type { Place } from "./stages.ts";
import { timed } from "./timing.ts";

/** From the store to the series that the analysis takes. */
export function load(place: Place) {
  return withStore(place, async (store) => {
    const { cost, result } = await timed(() => loadFleet(store, place.asOf, DEFAULT_SETTINGS));
    return { ...cost, readings: result.columns.count, bytes: bytesOf(result.columns) };
  });
}

/** What is known of the fleet as a whole, from nothing. */
export function learn(place: Place) {
  return withStore(place, async (store) => {
    const { fleet } = await loadFleet(store, place.asOf, DEFAULT_SETTINGS);
    const { cost } = await timed(() => learnOnThreads(fleet));
    return cost;
  });
}

/** The whole of it: loading, learning, forecasting every unit. */
export function analysis(place: Place) {
  return withStore(place, async (store) => {
    const { cost, result } = await timed(() => assessStore(store, place.asOf, "anew"));
    return { ...cost, units: result.assessment.units.length };
  });
}

/** The floor: filter and mixture alone. */
export function bare(place: Place) {
  return withStore(place, async (store) => {
    const fleet = bareFleet((await loadFleet(store, place.asOf, DEFAULT_SETTINGS)).fleet);
    const { cost, result } = await timed(async () => bareFilterAndMixture(fleet));
    if (!Number.isFinite(result)) throw new Error("the bare loops came to no number");
    return cost;
  });
}

async function withStore<T>({ store }: Place, work: (store: Store) => Promise<T>): Promise<T> {
  const opened = await openStore(`sqlite:${store}`);
  try {
    return await work(opened);
  } finally {
    await opened.close();
  }
}

function bytesOf(columns: ReadingColumns): number {
  return Object.values(columns).reduce<number>(
    (sum, column) => sum + (ArrayBuffer.isView(column) ? column.byteLength : 0),
    0,
  );
}
