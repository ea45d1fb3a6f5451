import { type FleetChecks, type UnitForecast, type UnitState, USE } from "../../analysis/index.ts";
import type { Store } from "../../ingest/index.ts";
import { evenly } from "../evenly.ts";
import type { Settings } from "../settings.ts";
import { assessOnThreads } from "./assess-on-threads.ts";
import type { FleetRun } from "./assess-store.ts";
import { checksOnTimeBySite, ON_TIME_TARGET } from "./checks-on-time.ts";
import { loadFleet } from "./load-fleet.ts";

/** So many units, evenly chosen, show what a change does; more only take longer. */
const MOST_UNITS = 400;

/** Verdicts of this long before the as-of day are looked at. Unit: days. */
const VERDICT_DAYS = 366;

/** What settings would do to the fleet, before they are kept: the present ones beside the proposed ones. */
export interface SettingsPreview {
  /** Units forecast under both, of so many. */
  readonly units: number;
  readonly unitsOf: number;
  readonly present: PreviewSide;
  readonly proposed: PreviewSide;
  /** Units whose state would be another one, likeliest to leave tolerance first. */
  readonly changed: readonly ChangedUnit[];
  /** Checks of the last year, all units: as they were judged, and as the proposed settings would judge them. */
  readonly verdicts: {
    readonly checks: number;
    readonly failed: number;
    readonly wouldFail: number;
    readonly passedButWouldFail: number;
    readonly failedButWouldPass: number;
  };
}

export interface PreviewSide {
  readonly states: Readonly<Record<UnitState, number>>;
  /** Units whose probability to be within tolerance until their service is below the reliability target. */
  readonly belowTarget: number;
  readonly overdue: number;
  readonly sitesBehind: number;
}

export interface ChangedUnit {
  readonly instrument: string;
  readonly site: string | null;
  readonly from: UnitState;
  readonly to: UnitState;
  readonly presentChance: number | null;
  readonly proposedChance: number | null;
}

/**
 * Forecasts the fleet, or an even part of a large one, under proposed settings.
 *
 * @param run The present look at the fleet, as of `asOf`.
 */
export async function previewSettings(
  store: Store,
  asOf: string,
  run: FleetRun,
  proposed: Settings,
): Promise<SettingsPreview> {
  const ahead = await loadFleet(store, asOf, proposed);
  const anew = await loadFleet(store, asOf, proposed, { judgedBy: "settings" });
  const before = { ...ahead.fleet, checkEveryDays: run.settings.check_every_days };
  const fleet = { ...ahead.fleet, units: evenly(ahead.fleet.units, MOST_UNITS) };
  const { units } = await assessOnThreads(fleet, run.figures);
  const presentOf = new Map(run.assessment.units.map((unit) => [unit.instrument, unit]));
  const present = units.map(({ instrument }) => presentOf.get(instrument)!);
  return {
    units: units.length,
    unitsOf: ahead.fleet.units.length,
    present: sideOf(present, before, run.settings),
    proposed: sideOf(units, ahead.fleet, proposed),
    changed: units.flatMap((unit, i) => changedUnit(present[i]!, unit)),
    verdicts: compareVerdicts(ahead.fleet, anew.fleet),
  };
}

function sideOf(units: readonly UnitForecast[], fleet: FleetChecks, settings: Settings): PreviewSide {
  const states = { out: 0, "heading-out": 0, leaning: 0, steady: 0, unjudged: 0 };
  for (const { state } of units) states[state]++;
  return {
    states,
    belowTarget: units.filter(({ pOutBeforeService: p }) => p !== null && 1 - p < settings.reliability_target)
      .length,
    overdue: units.filter(({ overdueCheck }) => overdueCheck).length,
    sitesBehind: [...checksOnTimeBySite(fleet).values()].filter((share) => share < ON_TIME_TARGET).length,
  };
}

function changedUnit(present: UnitForecast, proposed: UnitForecast): ChangedUnit[] {
  if (present.state === proposed.state) return [];
  const { instrument, site } = proposed;
  return [
    {
      instrument,
      site,
      from: present.state,
      to: proposed.state,
      presentChance: present.pOutBeforeService,
      proposedChance: proposed.pOutBeforeService,
    },
  ];
}

type Verdict = "passed" | "failed";

/** Both fleets hold the same units and readings in the same order. */
function compareVerdicts(before: FleetChecks, anew: FleetChecks): SettingsPreview["verdicts"] {
  const counts = { checks: 0, failed: 0, wouldFail: 0, passedButWouldFail: 0, failedButWouldPass: 0 };
  const fromDay = before.asOfDay + 1 - VERDICT_DAYS;
  for (const [u, unit] of before.units.entries()) {
    const was = verdictsOf(unit.readings, fromDay);
    const wouldBe = verdictsOf(anew.units[u]!.readings, fromDay);
    for (const [check, verdict] of was) {
      const other = wouldBe.get(check);
      if (other === undefined) continue;
      counts.checks++;
      if (verdict === "failed") counts.failed++;
      if (other === "failed") counts.wouldFail++;
      if (verdict === "passed" && other === "failed") counts.passedButWouldFail++;
      if (verdict === "failed" && other === "passed") counts.failedButWouldPass++;
    }
  }
  return counts;
}

/** By check: failed where one reading that may be judged is beyond its tolerance. */
function verdictsOf(
  readings: FleetChecks["units"][number]["readings"],
  fromDay: number,
): Map<number, Verdict> {
  const verdicts = new Map<number, Verdict>();
  for (let i = 0; i < readings.count; i++) {
    if (readings.day[i]! < fromDay || readings.use[i] === USE.shownOnly) continue;
    const check = readings.check[i]!;
    const isOut = Math.abs(readings.error[i]!) > readings.tolerance[i]!;
    if (isOut || !verdicts.has(check)) verdicts.set(check, isOut ? "failed" : "passed");
  }
  return verdicts;
}
