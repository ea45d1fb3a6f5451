import type { BandName, PatternName, UnitForecast, UnitState } from "../../analysis/index.ts";
import { isoOfDay } from "../assessment/days.ts";
import type { FleetView } from "../assessment/views.ts";
import { oncePer } from "../once-per.ts";
import { type Lane, lanesOf } from "./lanes.ts";
import { type NextStep, nextStep } from "./next-step.ts";

/** One unit as a line of a table. Days count from 1970-01-01 UTC. */
export interface UnitRow {
  readonly instrument: string;
  readonly site: string | null;
  readonly usage: string | null;
  readonly state: UnitState;
  /** Probability to be out of tolerance on some day before the service; null: not judged. */
  readonly chance: number | null;
  readonly chanceNow: number | null;
  readonly band: BandName | null;
  readonly pattern: PatternName;
  readonly dueDay: number | null;
  readonly lastCheckDay: number | null;
  readonly overdueCheck: boolean;
  readonly lanes: readonly Lane[] | null;
  readonly step: NextStep;
  readonly note: string | null;
}

/** One unit of the fleet as a line of a table. */
export function unitRow(forecast: UnitForecast, fleet: FleetView): UnitRow {
  return {
    instrument: forecast.instrument,
    site: forecast.site,
    usage: fleet.instruments.get(forecast.instrument)?.usage ?? null,
    state: forecast.state,
    chance: forecast.pOutBeforeService,
    chanceNow: forecast.pOutNow,
    band: forecast.band,
    pattern: forecast.pattern.name,
    dueDay: forecast.nextServiceDueDay,
    lastCheckDay: forecast.lastCheckDay,
    overdueCheck: forecast.overdueCheck,
    lanes: lanesOf(forecast),
    step: nextStep(forecast, fleet.assessment.asOfDay),
    note: forecast.note,
  };
}

/** Every unit as a line of a table, the likeliest to leave tolerance first. */
export const unitRows = oncePer((fleet: FleetView): readonly UnitRow[] =>
  fleet.assessment.units.map((forecast) => unitRow(forecast, fleet)),
);

/** The same figures flat, for JSON and CSV. Probabilities 0 to 1; band values are errors over tolerance. */
export function unitFigures(row: UnitRow): Record<string, string | number | boolean | null> {
  const figures: Record<string, string | number | boolean | null> = {
    instrument: row.instrument,
    site: row.site,
    usage: row.usage,
    state: row.state,
    p_out_now: row.chanceNow,
    p_out_before_service: row.chance,
    band: row.band,
    pattern: row.pattern,
    next_service_due: row.dueDay === null ? null : isoOfDay(row.dueDay),
    last_check: row.lastCheckDay === null ? null : isoOfDay(row.lastCheckDay),
    overdue_check: row.overdueCheck,
  };
  for (const band of ["low", "medium", "high"] as const) {
    const lane = row.lanes?.find((candidate) => candidate.band === band);
    figures[`${band}_now`] = lane?.now ?? null;
    figures[`${band}_at_service`] = lane?.atService ?? null;
    figures[`${band}_checks`] = lane?.checks ?? null;
  }
  return { ...figures, next_step: row.step, note: row.note };
}
