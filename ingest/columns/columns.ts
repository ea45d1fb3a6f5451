import type { FileKind } from "../store/store.ts";

/** The columns that files may have, by the name and unit that the documentation gives them. */

export const READING_COLUMNS = [
  "instrument",
  "checked_at",
  "speed_rpm",
  "reading_mpas",
  "fluid_value_mpas",
  "full_scale_range_mpas",
  "torque_percent",
  "temperature_c",
  "fluid_lot",
  "geometry",
  "site",
  "operator",
  "check_id",
  "stage",
] as const;
export type ReadingColumn = (typeof READING_COLUMNS)[number];

const INSTRUMENT_COLUMNS = [
  "instrument",
  "site",
  "model_class",
  "full_scale_torque_unm",
  "usage",
  "in_service_since",
  "last_service",
  "next_service_due",
] as const;

const SERVICE_COLUMNS = ["instrument", "serviced_at", "action"] as const;

const FLUID_COLUMNS = [
  "fluid_lot",
  "fluid_type",
  "nominal_mpas",
  "certified_mpas",
  "expanded_uncertainty_percent",
  "reference_temperature_c",
  "temperature_coefficient_percent_per_k",
  "expires_on",
] as const;

const GEOMETRY_COLUMNS = [
  "geometry",
  "bob_radius_mm",
  "cup_radius_mm",
  "bob_length_mm",
  "end_factor",
] as const;

const RESULT_COLUMNS = ["instrument", "measured_at", "sample", "viscosity", "torque"] as const;

export type RegisterColumn =
  | (typeof INSTRUMENT_COLUMNS)[number]
  | (typeof SERVICE_COLUMNS)[number]
  | (typeof FLUID_COLUMNS)[number]
  | (typeof GEOMETRY_COLUMNS)[number]
  | (typeof RESULT_COLUMNS)[number];
export type Column = ReadingColumn | RegisterColumn;

/** All columns that files of each kind may have. */
export const COLUMNS: Readonly<Record<FileKind, readonly Column[]>> = {
  readings: READING_COLUMNS,
  instruments: INSTRUMENT_COLUMNS,
  services: SERVICE_COLUMNS,
  fluids: FLUID_COLUMNS,
  geometries: GEOMETRY_COLUMNS,
  results: RESULT_COLUMNS,
};

/** What a file of each kind cannot do without; of each list one column is enough. */
export const REQUIRED_COLUMNS: Readonly<Record<FileKind, readonly (readonly Column[])[]>> = {
  readings: [
    ["instrument"],
    ["checked_at"],
    ["speed_rpm"],
    ["reading_mpas", "torque_percent"],
    ["fluid_value_mpas", "fluid_lot"],
    ["full_scale_range_mpas", "geometry"],
  ],
  instruments: [["instrument"]],
  services: [["instrument"], ["serviced_at"], ["action"]],
  fluids: [["fluid_lot"], ["certified_mpas"]],
  geometries: [["geometry"], ["bob_radius_mm"]],
  results: [["instrument"], ["measured_at"]],
};
