import { statSync } from "node:fs";
import { fitFleet } from "../../analysis/index.ts";
import { assessStore } from "../../dashboard/assessment/assess-store.ts";
import { loadFleet } from "../../dashboard/assessment/load-fleet.ts";
import { DEFAULT_SETTINGS } from "../../dashboard/settings.ts";
import { ingestPaths, openStore, type ReadingColumns, type Store } from "../../ingest/index.ts";
import { bareFilterAndMixture, bareFleet } from "./bare-filter.ts";
import { engineRead } from "./engine-floor.ts";
import { measureServer } from "./server-stage.ts";

/** Where the data of one size lie, and as of which day they are looked at. */
export interface Place {
  readonly files: string;
  readonly store: string;
  readonly asOf: string;
}

/** What a stage measured, by names of its own; times in seconds. */
export type Figures = Readonly<Record<string, number>>;

/** Every stage runs in a process of its own, so that its memory is its own. */
export const STAGES = {
  engine: async ({ files, store }: Place) => ({
    seconds: await engineRead(`${files}/readings.csv`, `${store}.engine`),
  }),
  intake: async ({ files, store }: Place) => {
    const { seconds, result } = await timed(async () => {
      const opened = await openStore(`sqlite:${store}`);
      const report = await ingestPaths(opened, [files], { now: Date.now });
      await opened.close();
      return report;
    });
    return {
      seconds,
      rows: result.totals.rows,
      csvBytes: statSync(`${files}/readings.csv`).size,
      storeBytes: statSync(store).size,
    };
  },
  load: (place: Place) =>
    withStore(place, async (store) => {
      const { seconds, result } = await timed(() => loadFleet(store, place.asOf, DEFAULT_SETTINGS));
      return { seconds, readings: result.columns.count, bytes: bytesOf(result.columns) };
    }),
  learn: (place: Place) =>
    withStore(place, async (store) => {
      const { fleet } = await loadFleet(store, place.asOf, DEFAULT_SETTINGS);
      const { seconds } = await timed(async () => fitFleet(fleet));
      return { seconds };
    }),
  analysis: (place: Place) =>
    withStore(place, async (store) => {
      const { seconds, result } = await timed(() => assessStore(store, place.asOf, "anew"));
      return { seconds, units: result.assessment.units.length };
    }),
  bare: (place: Place) =>
    withStore(place, async (store) => {
      const fleet = bareFleet((await loadFleet(store, place.asOf, DEFAULT_SETTINGS)).fleet);
      const { seconds, result } = await timed(async () => bareFilterAndMixture(fleet));
      if (!Number.isFinite(result)) throw new Error("the bare loops came to no number");
      return { seconds };
    }),
  server: (place: Place) => withStore(place, (store) => measureServer(store, place.asOf)),
} as const satisfies Record<string, (place: Place) => Promise<Figures>>;

export type StageName = keyof typeof STAGES;

async function withStore<T>({ store }: Place, work: (store: Store) => Promise<T>): Promise<T> {
  const opened = await openStore(`sqlite:${store}`);
  try {
    return await work(opened);
  } finally {
    await opened.close();
  }
}

async function timed<T>(work: () => Promise<T>): Promise<{ seconds: number; result: T }> {
  const start = performance.now();
  const result = await work();
  return { seconds: (performance.now() - start) / 1000, result };
}

function bytesOf(columns: ReadingColumns): number {
  return Object.values(columns).reduce<number>(
    (sum, column) => sum + (ArrayBuffer.isView(column) ? column.byteLength : 0),
    0,
  );
}
