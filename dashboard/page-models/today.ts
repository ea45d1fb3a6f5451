import type { LotAssessment } from "../../analysis/index.ts";
import type { FleetView } from "../assessment/views.ts";
import { type FleetPicture, fleetPicture } from "./fleet-picture.ts";
import { isAtRisk } from "./fleet-query.ts";
import { isInUse } from "./fluid-lots.ts";
import { countStates, type SiteRow, type StateCounts, siteRows } from "./sites.ts";
import { type UnitRow, unitFigures, unitRow } from "./unit-row.ts";

/** What the front page says: the fleet at the end of a day. */
export interface TodayPage {
  readonly asOf: string;
  readonly asOfDay: number;
  readonly units: number;
  /** null: not counted for the sites that one sees. */
  readonly readings: number | null;
  readonly quarantined: number | null;
  readonly states: StateCounts;
  /** The likeliest to leave tolerance, most urgent first: those at risk or leaning, at most {@link MOST_SHOWN}. */
  readonly likeliest: readonly UnitRow[];
  readonly sites: readonly SiteRow[];
  /** Lots in use that are not sound, worst first. */
  readonly lots: readonly LotAssessment[];
  readonly soundLots: number;
  readonly picture: FleetPicture;
}

/** As many rows as one reads before asking for the rest; more only so that none that is at risk is left out. */
const SHOWN = 12;
const MOST_SHOWN = 25;

/** What the front page says of a fleet. */
export function todayPage(fleet: FleetView): TodayPage {
  const { assessment } = fleet;
  const states = countStates(assessment.units.map((unit) => unit.state));
  const worthShowing = assessment.units.filter((unit) => isAtRisk(unit.state) || unit.state === "leaning");
  const atRisk = assessment.units.filter((unit) => isAtRisk(unit.state)).length;
  // A calm fleet still shows who is nearest to the bank.
  const shown = worthShowing.length > 0 ? worthShowing : assessment.units;
  const inUse = assessment.lots.filter((lot) => isInUse(lot.lastUseDay, assessment.asOfDay));
  const doubted = inUse.filter((lot) => lot.verdict === "doubtful" || lot.verdict === "unsound");
  return {
    asOf: fleet.asOf,
    asOfDay: assessment.asOfDay,
    units: assessment.units.length,
    readings: fleet.readings,
    quarantined: fleet.quarantined,
    states,
    likeliest: shown
      .slice(0, Math.max(SHOWN, Math.min(atRisk, MOST_SHOWN)))
      .map((forecast) => unitRow(forecast, fleet)),
    sites: siteRows(fleet),
    lots: doubted.sort((a, b) => Math.abs(b.errorPercent) - Math.abs(a.errorPercent)),
    soundLots: inUse.filter((lot) => lot.verdict === "sound").length,
    picture: fleetPicture(assessment),
  };
}

/** The front page's figures for programs. */
export function todayFigures(page: TodayPage): Record<string, unknown> {
  return {
    as_of: page.asOf,
    units: page.units,
    readings: page.readings,
    quarantined: page.quarantined,
    states: page.states,
    likeliest: page.likeliest.map(unitFigures),
    sites: page.sites.map((site) => ({
      site: site.site,
      units: site.units,
      states: site.states,
      checks_on_time: site.checksOnTime,
      scatter_percent_fs: site.scatter?.percentFs ?? null,
      bath_kelvin: site.bath?.kelvin ?? null,
      bath_kelvin_sd: site.bath?.sd ?? null,
    })),
    lots_not_sound: page.lots.map((lot) => ({
      fluid_lot: lot.fluidLot,
      error_percent: lot.errorPercent,
      error_sd: lot.errorSd,
      units: lot.units,
      verdict: lot.verdict,
    })),
  };
}
