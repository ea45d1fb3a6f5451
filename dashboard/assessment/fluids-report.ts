import type { FleetAssessment } from "../../analysis/index.ts";
import { isoOfDay } from "./days.ts";

/** The document that `fluids --json` prints: errors in % of the certified value, baths in K. */
export function fluidsReport({ asOfDay, lots, baths }: Pick<FleetAssessment, "asOfDay" | "lots" | "baths">) {
  return {
    as_of: isoOfDay(asOfDay),
    lots: lots.map((lot) => ({
      fluid_lot: lot.fluidLot,
      error_percent: lot.errorPercent,
      error_sd: lot.errorSd,
      per_year_percent: lot.perYearPercent,
      units: lot.units,
      checks: lot.checks,
      last_use: isoOfDay(lot.lastUseDay),
      verdict: lot.verdict,
      note: lot.note,
    })),
    baths: baths.map((bath) => ({
      site: bath.site,
      from: isoOfDay(bath.fromDay),
      to: isoOfDay(bath.toDay),
      kelvin: bath.kelvin,
      kelvin_sd: bath.kelvinSd,
      units: bath.units,
    })),
  };
}
