import type { FleetAssessment, UnitForecast } from "../../analysis/index.ts";
import { isoOfDay } from "./days.ts";

/** The document that `forecast --json` prints: every registered unit, the likeliest to leave tolerance first. */
export function forecastReport(assessment: FleetAssessment, unregistered: readonly string[]) {
  return {
    as_of: isoOfDay(assessment.asOfDay),
    fleet_learnt_as_of: isoOfDay(assessment.figuresAsOfDay),
    units: assessment.units.map(unitReport),
    unregistered,
  };
}

/** One unit of it: `bands` in error over tolerance, `shape` in % of full scale, days as ISO dates. */
export function unitReport(unit: UnitForecast) {
  return {
    instrument: unit.instrument,
    site: unit.site,
    next_service_due: isoOrNull(unit.nextServiceDueDay),
    p_out_now: unit.pOutNow,
    p_out_before_service: unit.pOutBeforeService,
    out_on: {
      p05: isoOrNull(unit.outOn.p05),
      p50: isoOrNull(unit.outOn.p50),
      p95: isoOrNull(unit.outOn.p95),
    },
    band: unit.band,
    bands:
      unit.bands &&
      mapValues(unit.bands, (band) => ({
        now: band.now,
        now_sd: band.nowSd,
        at_service: band.atService,
        at_service_sd: band.atServiceSd,
        checks: band.checks,
      })),
    shape:
      unit.shape &&
      mapValues(unit.shape, (part) => part && { now: part.now, sd: part.sd, per_year: part.perYear }),
    pattern: unit.pattern,
    last_check: isoOrNull(unit.lastCheckDay),
    overdue_check: unit.overdueCheck,
    state: unit.state,
    note: unit.note,
    steps: unit.steps.map((step) => ({
      between: step.betweenDays.map(isoOfDay),
      zero: step.zero,
      span: step.span,
    })),
    rests_on: unit.basis && {
      checks_used: unit.basis.checksUsed,
      checks_left_out: unit.basis.checksLeftOut,
      shared_error_removed: unit.basis.sharedErrorRemoved,
      fleet_weight: unit.basis.fleetWeight,
      explanations: unit.basis.explanations,
      p_out_before_service_alone: unit.basis.pOutBeforeServiceAlone,
    },
  };
}

function isoOrNull(day: number | null): string | null {
  return day === null ? null : isoOfDay(day);
}

function mapValues<K extends string, V, W>(from: Readonly<Record<K, V>>, map: (value: V) => W): Record<K, W> {
  return Object.fromEntries(Object.entries<V>(from).map(([key, value]) => [key, map(value)])) as Record<K, W>;
}
