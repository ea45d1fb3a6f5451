import {
  type FleetAssessment,
  type FleetChecks,
  type FleetFigures,
  type WatchBasis,
  watchBasis,
} from "../../analysis/index.ts";
import type { Store } from "../../ingest/index.ts";
import type { Settings } from "../settings.ts";
import { settingsInForce } from "../settings-in-force.ts";
import { assessOnThreads } from "./assess-on-threads.ts";
import { checksOnTimeBySite } from "./checks-on-time.ts";
import { fleetFigures } from "./fleet-figures.ts";
import { loadFleet } from "./load-fleet.ts";
import type { LookStage, SiteFacts } from "./views.ts";

/** What one run over the whole fleet gives; plain data, so that it can come from another thread. */
export interface FleetRun {
  readonly revision: number;
  readonly settings: Settings;
  readonly figures: FleetFigures;
  readonly assessment: FleetAssessment;
  /** What the limits of the control charts are set from; null: nothing is charted. */
  readonly watchBasis: WatchBasis | null;
  readonly sites: readonly SiteFacts[];
  readonly readings: number;
  /** Instruments that have readings but no row in the register. */
  readonly unregistered: readonly string[];
}

/**
 * Assesses every registered unit as of a day, by the settings in force then.
 *
 * @param asOf ISO day; nothing after its end (UTC) is looked at.
 * @param mode What is known of the fleet as a whole may be `kept` from an earlier run, or is learnt `anew`.
 * @param tell Is told what begins.
 */
export async function assessStore(
  store: Store,
  asOf: string,
  mode: "kept" | "anew" = "kept",
  tell: (stage: LookStage) => void = () => {},
): Promise<FleetRun> {
  tell("reading");
  const revision = await store.revision();
  const { settings } = await settingsInForce(store, asOf);
  const { fleet, columns, unregistered } = await loadFleet(store, asOf, settings);
  tell("learning");
  const figures = await fleetFigures(store, asOf, settings, fleet, mode);
  tell("judging");
  return {
    revision,
    settings,
    figures,
    assessment: await assessOnThreads(fleet, figures),
    watchBasis: watchBasis(fleet, figures, settings.alarms.per_month_per_100_units),
    sites: siteFacts(fleet),
    readings: columns.count,
    unregistered,
  };
}

function siteFacts(fleet: FleetChecks): SiteFacts[] {
  const names = new Set(fleet.units.map((unit) => unit.site).filter((site) => site !== null));
  const onTime = checksOnTimeBySite(fleet);
  return [...names].sort().map((site) => ({ site, checksOnTime: onTime.get(site) ?? null }));
}
