import type { BudgetCost } from "../../analysis/index.ts";
import type { Store } from "../../ingest/index.ts";
import { Kept } from "../kept.ts";
import { AfterLook } from "./after-look.ts";
import { type ChangedRun, completed, type EarlierLook, type FleetRun } from "./assess-store.ts";
import type { AssessOrder } from "./assess-worker.ts";
import { CourseKeeper } from "./course-keeper.ts";
import { fluidsView } from "./fluids-view.ts";
import { inWorker } from "./in-worker.ts";
import { RecordKeeper } from "./record-keeper.ts";
import { ReturnsPlanner } from "./returns-planner.ts";
import { reviewOf } from "./review.ts";
import type { ServiceFacts } from "./service-desk.ts";
import { serviceFacts } from "./service-facts.ts";
import type { SettingsPreview } from "./settings-preview.ts";
import type { SettingsOrder } from "./settings-worker.ts";
import { buildUnitView } from "./unit-view.ts";
import type {
  Assessment,
  CourseView,
  FleetView,
  FluidsView,
  LookStage,
  ReturnsView,
  ReviewView,
  Standing,
  UnitView,
} from "./views.ts";

export interface AssessmentOptions {
  readonly store: Store;
  /** The day to assess, as an ISO date; asked anew each time, so that a server open over midnight moves on. */
  readonly asOf: () => string;
  /** Makes a run over the whole fleet; in a thread of this process where nothing is said. */
  readonly lookAtFleet?: FleetLook | undefined;
  /** Is told why a look ended early. */
  readonly report?: ((error: unknown) => void) | undefined;
}

/**
 * @param before The run that is shown: units that have not changed since may be left out, as `unchanged`.
 * @param heed Is told what begins.
 */
export type FleetLook = (
  asOf: string,
  before: ChangedRun | null,
  heed: (stage: LookStage) => void,
) => Promise<ChangedRun>;

/** The same, with what the service desk asks. */
export interface DeskAssessment extends Assessment {
  /** Findings and intervals; the first time after a change of the store it takes a while. */
  service(): Promise<ServiceFacts>;
}

/**
 * Answers the pages from one look at the whole fleet, made in a thread of its own and kept until the store or the day
 * changes. Only the first look is waited for: while a newer one is under way, pages show the one before. A unit's own
 * checks are always the latest, and what is known of the fleet is from the look that is shown.
 */
export function createAssessment({
  store,
  asOf,
  lookAtFleet = inThread(store),
  report = () => {},
}: AssessmentOptions): DeskAssessment {
  let shown: Look | null = null;
  let underWay: { readonly key: string; readonly look: Promise<Look>; stage: LookStage } | null = null;
  let failedKey: string | null = null;
  const unitViews = new Kept<UnitView | null>(UNITS_KEPT);
  const fluidsViews = new Kept<FluidsView>(1);

  const reviews = new Kept<ReviewView>(1);
  const previews = new Kept<SettingsPreview>(5);
  const costs = new Kept<readonly BudgetCost[]>(1);
  const settingsWorker = new URL("./settings-worker.ts", import.meta.url);

  const services = new Kept<ServiceFacts>(1);

  const after = new AfterLook(store);
  const planner = new ReturnsPlanner(store, after);
  const courseKeeper = new CourseKeeper(store.location, after);
  const recordKeeper = new RecordKeeper(store);

  function begin(key: string, day: string): Promise<Look> {
    const heed = (stage: LookStage): void => {
      if (underWay?.key === key) underWay.stage = stage;
    };
    const before = shown?.run ?? null;
    const look = lookAtFleet(day, before, heed).then((changed) => finished(store, day, changed, before));
    underWay = { key, look, stage: "reading" };
    look
      .then((latestLook) => {
        shown = latestLook;
      })
      // Told to whoever waits for it; what was shown before stays.
      .catch((error: unknown) => {
        failedKey = key;
        // The first one is told to whoever waits for it.
        if (before !== null) report(error);
      })
      .finally(() => {
        underWay = null;
      });
    return look;
  }

  /** Has a look begun where nothing is under way and what is shown is not the latest. */
  async function keepUp(): Promise<number> {
    const day = asOf();
    const revision = await store.revision();
    const key = `${revision} ${day}`;
    if (underWay === null && shown?.key !== key && failedKey !== key) begin(key, day).catch(() => {});
    return revision;
  }

  async function latest(): Promise<Look> {
    // What failed is tried again only where there is nothing else to show.
    if (shown === null) failedKey = null;
    await keepUp();
    if (shown !== null) return shown;
    return underWay!.look;
  }

  return {
    current: async (): Promise<FleetView> => (await latest()).fleet,
    unit: async (instrument): Promise<UnitView | null> => {
      const { run, fleet } = await latest();
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
      return fluidsViews.get(`${run.revision} ${fleet.asOf}`, () =>
        fluidsView(store, after, run, fleet.asOf),
      );
    },
    review: async (): Promise<ReviewView> => {
      const { key, run, fleet } = await latest();
      return reviews.get(key, () => reviewOf(after, run, fleet.asOf));
    },
    service: async (): Promise<ServiceFacts> => {
      const { key, run, fleet } = await latest();
      return services.get(key, () => serviceFacts(store, after, run, fleet.asOf));
    },
    course: async (): Promise<CourseView> => {
      const { run, fleet } = await latest();
      return courseKeeper.look(run, fleet.asOf);
    },
    settingsPreview: async (proposed): Promise<SettingsPreview> => {
      const { key, run, fleet } = await latest();
      return previews.get(`${key} ${JSON.stringify(proposed)}`, () =>
        inWorker<SettingsOrder, SettingsPreview>(settingsWorker, {
          preview: { storeUrl: store.location, asOf: fleet.asOf, run, proposed },
        }),
      );
    },
    budgetCosts: async (): Promise<readonly BudgetCost[] | null> => {
      const budget = (await latest()).run.watchBasis?.budget ?? null;
      if (budget === null) return null;
      return costs.get(JSON.stringify(budget), () =>
        inWorker<SettingsOrder, BudgetCost[]>(settingsWorker, { costs: { budget } }),
      );
    },
    standing: async (): Promise<Standing> => {
      const revision = await keepUp();
      return {
        revision,
        shown:
          shown === null
            ? null
            : { revision: shown.run.revision, asOf: shown.fleet.asOf, finishedAtMs: shown.finishedAtMs },
        looking: underWay?.stage ?? null,
        failed: failedKey === `${revision} ${asOf()}`,
      };
    },
  };
}

/** One look at the whole fleet. */
interface Look {
  /** The state of the store and the day that it is of. */
  readonly key: string;
  readonly run: ChangedRun;
  readonly fleet: FleetView;
  readonly finishedAtMs: number;
}

function inThread(store: Store): FleetLook {
  return (asOf, before, heed) =>
    inWorker<AssessOrder, ChangedRun, LookStage>(
      new URL("./assess-worker.ts", import.meta.url),
      { storeUrl: store.location, asOf, before: before && earlierLook(before) },
      heed,
    );
}

/** Without what needs not cross between threads. */
function earlierLook({ basis, watchBasis }: ChangedRun): EarlierLook {
  return { basis, watchBasis };
}

async function finished(
  store: Store,
  asOf: string,
  changed: ChangedRun,
  before: ChangedRun | null,
): Promise<Look> {
  const run = completed(changed, before);
  return {
    key: `${run.revision} ${asOf}`,
    run,
    fleet: await fleetView(store, asOf, run),
    finishedAtMs: Date.now(),
  };
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
    lotSites: run.lotSites,
    readings: run.readings,
    quarantined: quarantined.length,
    files,
  };
}
