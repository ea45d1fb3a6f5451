import { isoDay } from "./days.ts";
import type { DemoFleet } from "./demo-fleet.ts";
import type { Check } from "./history.ts";

/** Columns of a readings file, in the order in which they are written. */
export const READING_COLUMNS = [
  "check_id",
  "instrument",
  "site",
  "checked_at",
  "stage",
  "geometry",
  "speed_rpm",
  "full_scale_range_mpas",
  "reading_mpas",
  "torque_percent",
  "fluid_lot",
  "fluid_value_mpas",
  "temperature_c",
  "operator",
] as const;
export type ReadingColumn = (typeof READING_COLUMNS)[number];

/** Columns that belong to one reading; the others are the check's. */
export const PER_READING: readonly ReadingColumn[] = [
  "speed_rpm",
  "full_scale_range_mpas",
  "reading_mpas",
  "torque_percent",
];

/** One reading as text, cell by cell; an empty cell is "not recorded". */
export type Cells = Record<ReadingColumn, string>;

/** The cells of each reading of a check. */
export function cellsOf(check: Check): Cells[] {
  const checkedAt = `${new Date(check.checkedAtMs).toISOString().slice(0, 19)}Z`;
  const value = String(check.lot.certifiedMPaS);
  const temperature = check.temperatureC === null ? "" : check.temperatureC.toFixed(2);
  return check.readings.map((reading) => ({
    check_id: check.checkId,
    instrument: check.instrument,
    site: check.site,
    checked_at: checkedAt,
    stage: check.stage,
    geometry: check.geometry,
    speed_rpm: String(reading.speedRpm),
    full_scale_range_mpas: String(reading.fullScaleRangeMPaS),
    reading_mpas: String(reading.readingMPaS),
    torque_percent: reading.torquePercent.toFixed(1),
    fluid_lot: check.lot.fluidLot,
    fluid_value_mpas: value,
    temperature_c: temperature,
    operator: check.operator,
  }));
}

/** The registers as tables: header and rows of text. */
export function registerTables(fleet: DemoFleet): Readonly<Record<string, readonly (readonly string[])[]>> {
  return {
    instruments: [
      [
        "instrument",
        "site",
        "model_class",
        "full_scale_torque_unm",
        "usage",
        "in_service_since",
        "last_service",
        "next_service_due",
      ],
      ...fleet.plans.map((plan) => [
        plan.instrument,
        plan.site.name,
        plan.modelClass,
        String(plan.fullScaleTorqueUnm),
        plan.usage,
        isoDay(plan.inServiceSince),
        plan.services.length === 0 ? "" : isoDay((plan.services.at(-1) as { day: number }).day),
        isoDay(plan.nextServiceDue),
      ]),
    ],
    services: [
      ["instrument", "serviced_at", "action"],
      ...fleet.plans.flatMap((plan) =>
        plan.services.map(({ day, action }) => [plan.instrument, isoDay(day), action]),
      ),
    ],
    fluids: [
      [
        "fluid_lot",
        "fluid_type",
        "nominal_mpas",
        "certified_mpas",
        "expanded_uncertainty_percent",
        "reference_temperature_c",
        "temperature_coefficient_percent_per_k",
        "expires_on",
      ],
      ...fleet.lots.map((lot) => [
        lot.fluidLot,
        lot.product.type,
        String(lot.product.nominalMPaS),
        String(lot.certifiedMPaS),
        String(lot.expandedUncertaintyPercent),
        "25",
        String(lot.coefficient),
        isoDay(lot.expiresDay),
      ]),
    ],
    geometries: [
      ["geometry", "bob_radius_mm", "cup_radius_mm", "bob_length_mm", "end_factor"],
      ...fleet.surroundings.sites.flatMap(({ pieces }) =>
        pieces.map(({ geometry, size }) => [
          geometry,
          ...[size.bobRadiusMm, size.cupRadiusMm, size.bobLengthMm, size.endFactor].map(String),
        ]),
      ),
    ],
  };
}
