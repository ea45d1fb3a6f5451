import type { Store } from "../../ingest/index.ts";
import type { FleetRun } from "./assess-store.ts";
import type { AssessOrder } from "./assess-worker.ts";
import { inWorker } from "./in-worker.ts";
import { ReturnsPlanner } from "./returns-planner.ts";
import { buildUnitView } from "./unit-view.ts";
import type { Assessment, FleetView, ReturnsView, UnitView } from "./views.ts";

export interface AssessmentOptions {
  readonly store: Store;
  /** The day to assess, as an ISO date; asked anew each time, so that a server open over midnight moves on. */
  readonly asOf: () => string;
}

/**
 * Answers the pages from one run over the fleet, made in a thread of its own and kept until the store or the
 * day changes. Requests that come while a run is under way wait for that run; none is made twice.
 */
export function createAssessment({ store, asOf }: AssessmentOptions): Assessment {
  let kept: { readonly key: string; readonly view: Promise<{ run: FleetRun; fleet: FleetView }> } | null =
    null;

  const planner = new ReturnsPlanner(store.location);

  async function latest(): Promise<{ run: FleetRun; fleet: FleetView }> {
    const day = asOf();
    const key = `${await store.revision()} ${day}`;
    if (kept?.key !== key) {
      const view = runInWorker({ storeUrl: store.location, asOf: day }).then(async (run) => ({
        run,
        fleet: await fleetView(store, day, run),
      }));
      kept = { key, view };
      // A failed run is not kept: the next request tries again.
      view.catch(() => {
        if (kept?.view === view) kept = null;
      });
    }
    return kept.view;
  }

  return {
    current: async (): Promise<FleetView> => (await latest()).fleet,
    unit: async (instrument): Promise<UnitView | null> => {
      const { run, fleet } = await latest();
      return buildUnitView({ store, asOf: fleet.asOf, run, instrument });
    },
    returns: async (questions): Promise<ReturnsView> => {
      const { run, fleet } = await latest();
      return planner.answer(run, fleet.asOf, questions);
    },
  };
}

async function fleetView(store: Store, asOf: string, run: FleetRun): Promise<FleetView> {
  const [instruments, files, quarantined] = await Promise.all([
    store.instruments(),
    store.files(),
    store.quarantined(),
  ]);
  return {
    asOf,
    revision: run.revision,
    assessment: run.assessment,
    instruments: new Map(instruments.map((record) => [record.instrument, record])),
    sites: run.sites,
    readings: run.readings,
    quarantined: quarantined.length,
    files,
  };
}

function runInWorker(order: AssessOrder): Promise<FleetRun> {
  return inWorker(new URL("./assess-worker.ts", import.meta.url), order);
}
