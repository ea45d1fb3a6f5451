import {
  assessmentOf,
  budgetOf,
  type FleetAssessment,
  type FleetChecks,
  type FleetFigures,
  likeliestFirst,
  siteScatter,
  type WatchBasis,
  watchBasis,
} from "../../analysis/index.ts";
import type { Store } from "../../ingest/index.ts";
import type { Settings } from "../settings.ts";
import { settingsInForce } from "../settings-in-force.ts";
import { beginForecasts } from "./assess-on-threads.ts";
import { checksOnTimeBySite } from "./checks-on-time.ts";
import { fleetFigures } from "./fleet-figures.ts";
import { type FleetThreads, withThreads } from "./fleet-threads.ts";
import { loadFleet } from "./load-fleet.ts";
import { type RunBasis, runBasis, unchangedUnits } from "./run-basis.ts";
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
  /** The sites at which each lot was used. */
  readonly lotSites: Readonly<Record<string, readonly string[]>>;
  readonly readings: number;
  /** Instruments that have readings but no row in the register. */
  readonly unregistered: readonly string[];
}

/** A run that builds on the one before: its assessment holds only the units that are not as they were. */
export interface ChangedRun extends FleetRun {
  readonly basis: RunBasis;
  /** Units whose forecasts are those of the run before. */
  readonly unchanged: readonly string[];
}

/**
 * Assesses every registered unit as of a day, by the settings in force then.
 *
 * @param asOf ISO day; nothing after its end (UTC) is looked at.
 * @param mode What is known of the fleet as a whole may be `kept` from an earlier run, or is learnt `anew`.
 */
export async function assessStore(
  store: Store,
  asOf: string,
  mode: "kept" | "anew" = "kept",
): Promise<FleetRun> {
  return withThreads(undefined, async (threads) => {
    const { fleet, figures, ...facts } = await lookAt(store, asOf, mode, () => {}, threads);
    const forecasts = beginForecasts(fleet, figures, threads);
    const limits = watchBasis(fleet, figures, facts.settings.alarms.per_month_per_100_units);
    const assessment = assessmentOf(fleet, figures, await forecasts());
    return { ...facts, figures, watchBasis: limits, assessment };
  });
}

/**
 * Assesses the units that have changed since an earlier run.
 *
 * @param before What that run rested on and its limits' basis; null: all units are assessed.
 * @param tell Is told what begins.
 */
export async function assessChanges(
  store: Store,
  asOf: string,
  before: EarlierLook | null,
  tell: (stage: LookStage) => void = () => {},
): Promise<ChangedRun> {
  return withThreads(undefined, async (threads) => {
    const { fleet, figures, ...facts } = await lookAt(store, asOf, "kept", tell, threads);
    const basis = runBasis(fleet, figures);
    const unchanged = unchangedUnits(basis, before?.basis ?? null);
    const changed = fleet.units.filter(({ instrument }) => !unchanged.has(instrument));
    const forecasts = beginForecasts({ ...fleet, units: changed }, figures, threads);
    const perMonthPer100Units = facts.settings.alarms.per_month_per_100_units;
    const limits =
      limitsTakenOver(before, basis, budgetOf(fleet, perMonthPer100Units)) ??
      watchBasis(fleet, figures, perMonthPer100Units);
    const assessment = assessmentOf(fleet, figures, await forecasts());
    return { ...facts, figures, watchBasis: limits, assessment, basis, unchanged: [...unchanged] };
  });
}

/** What a later run takes over from an earlier one. */
export type EarlierLook = Pick<ChangedRun, "basis" | "watchBasis">;

/**
 * The limits' basis of an earlier look, where all that units share is as it was and they may alarm as rarely as then;
 * null: it is to be found.
 *
 * @remarks Found anew with every check, it would move a little, have every unit charted again, and take longer than all
 * else about one new file.
 */
export function limitsTakenOver(
  before: EarlierLook | null,
  basis: RunBasis,
  budget: WatchBasis["budget"] | null,
): WatchBasis | null {
  const known = before?.basis.fleet === basis.fleet ? before.watchBasis : null;
  return known !== null && budget?.runLength === known.budget.runLength ? { ...known, budget } : null;
}

/** The whole of a run that {@link assessChanges} gave, with the forecasts that stayed as they were. */
export function completed(changed: ChangedRun, before: FleetRun | null): ChangedRun {
  const { assessment, unchanged } = changed;
  const earlier = new Map(before?.assessment.units.map((unit) => [unit.instrument, unit]));
  const kept = unchanged.map((instrument) => earlier.get(instrument)!);
  return { ...changed, assessment: { ...assessment, units: likeliestFirst([...assessment.units, ...kept]) } };
}

/** All of a run but forecasts and limits: what the fleet shares, by all its readings. */
export async function lookAt(
  store: Store,
  asOf: string,
  mode: "kept" | "anew",
  tell: (stage: LookStage) => void,
  threads?: FleetThreads,
) {
  tell("reading");
  const revision = await store.revision();
  const { settings } = await settingsInForce(store, asOf);
  const { fleet, columns, unregistered } = await loadFleet(store, asOf, settings);
  tell("learning");
  const figures = await fleetFigures(store, asOf, settings, fleet, mode, threads);
  tell("judging");
  return {
    revision,
    settings,
    fleet,
    figures,
    sites: siteFacts(fleet),
    lotSites: lotSites(fleet),
    readings: columns.count,
    unregistered,
  };
}

function siteFacts(fleet: FleetChecks): SiteFacts[] {
  const names = new Set(fleet.units.map((unit) => unit.site).filter((site) => site !== null));
  const onTime = checksOnTimeBySite(fleet);
  const scatter = siteScatter(fleet);
  return [...names].sort().map((site) => ({
    site,
    checksOnTime: onTime.get(site) ?? null,
    scatter: scatter.get(site) ?? null,
  }));
}

function lotSites({ units, lots }: FleetChecks): Record<string, string[]> {
  const sitesOf = lots.map(() => new Set<string>());
  for (const { site, readings } of units) {
    if (site !== null) for (const lot of readings.lot) if (lot >= 0) sitesOf[lot]!.add(site);
  }
  return Object.fromEntries(lots.map(({ fluidLot }, i) => [fluidLot, [...sitesOf[i]!]]));
}
