import type { LotInFull } from "../../analysis/index.ts";
import type { Store } from "../../ingest/index.ts";
import { Kept } from "../kept.ts";
import type { FleetRun } from "./assess-store.ts";
import type { AssessOrder } from "./assess-worker.ts";
import type { FluidsOrder } from "./fluids-worker.ts";
import { inWorker } from "./in-worker.ts";
import { RecordKeeper } from "./record-keeper.ts";
import { ReturnsPlanner } from "./returns-planner.ts";
import { buildUnitView } from "./unit-view.ts";
import type { Assessment, FleetView, FluidsView, ReturnsView, UnitView } from "./views.ts";

export interface AssessmentOptions {
  readonly store: Store;
  /** The day to assess, as an ISO date; asked anew each time, so that a server open over midnight moves on. */
  readonly asOf: () => string;
}

/**
 * Answers the pages from one run over the fleet, made in a thread of its own and kept until the store or the
 * day changes. Requests that come while a run is under way wait for that run; none is made twice. A unit's own page
 * does not wait: its checks are the latest, and what is known of the fleet is from the run before.
 */
export function createAssessment({ store, asOf }: AssessmentOptions): Assessment {
  let kept: { readonly key: string; readonly view: Promise<Look> } | null = null;
  let finished: { readonly day: string; readonly look: Look } | null = null;
  const unitViews = new Kept<UnitView | null>(UNITS_KEPT);
  const fluidsViews = new Kept<FluidsView>(1);

  const planner = new ReturnsPlanner(store.location);
  const recordKeeper = new RecordKeeper(store);

  async function latest(): Promise<Look> {
    const day = asOf();
    const key = `${await store.revision()} ${day}`;
    if (kept?.key !== key) {
      const view = runInWorker({ storeUrl: store.location, asOf: day }).then(async (run) => {
        const look = { run, fleet: await fleetView(store, day, run) };
        finished = { day, look };
        return look;
      });
      kept = { key, view };
      // A failed run is not kept: the next request tries again.
      view.catch(() => {
        if (kept?.view === view) kept = null;
      });
    }
    return kept.view;
  }

  /** What is known of the fleet, without waiting for the files that came since. */
  async function latestFinished(): Promise<Look> {
    const newest = latest();
    if (finished?.day !== asOf()) return newest;
    newest.catch(() => {}); // told to whoever asks for the fleet
    return finished.look;
  }

  return {
    current: async (): Promise<FleetView> => (await latest()).fleet,
    unit: async (instrument): Promise<UnitView | null> => {
      const { run, fleet } = await latestFinished();
      const revision = await store.revision();
      return unitViews.get(`${revision} ${run.revision} ${fleet.asOf} ${instrument}`, () =>
        buildUnitView({ store, revision, asOf: fleet.asOf, run, instrument }),
      );
    },
    returns: async (questions): Promise<ReturnsView> => {
      const { run, fleet } = await latest();
      return planner.answer(run, fleet.asOf, questions);
    },
    record: (start) => recordKeeper.look(asOf(), start),
    fluids: async (): Promise<FluidsView> => {
      const { run, fleet } = await latest();
      return fluidsViews.get(`${run.revision} ${fleet.asOf}`, () => fluidsView(store, fleet.asOf, run));
    },
  };
}

interface Look {
  readonly run: FleetRun;
  readonly fleet: FleetView;
}

const UNITS_KEPT = 50;

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

async function fluidsView(store: Store, asOf: string, run: FleetRun): Promise<FluidsView> {
  const { assessment, settings, figures, revision } = run;
  const [fluids, inFull] = await Promise.all([
    store.fluids(),
    inWorker<FluidsOrder, LotInFull[]>(new URL("./fluids-worker.ts", import.meta.url), {
      storeUrl: store.location,
      asOf,
      settings,
      figures,
    }),
  ]);
  const lotOf = new Map(inFull.map((lot) => [lot.fluidLot, lot]));
  const certificateOf = new Map(fluids.map((fluid) => [fluid.fluidLot, fluid]));
  return {
    asOf,
    revision,
    units: assessment.units.length,
    lots: assessment.lots.flatMap((lot) => {
      const full = lotOf.get(lot.fluidLot);
      if (full === undefined) return [];
      return [{ assessment: lot, inFull: full, certificate: certificateOf.get(lot.fluidLot) ?? null }];
    }),
    baths: assessment.baths,
    allowedKelvin: settings.temperature.allowed_k,
  };
}

function runInWorker(order: AssessOrder): Promise<FleetRun> {
  return inWorker(new URL("./assess-worker.ts", import.meta.url), order);
}
