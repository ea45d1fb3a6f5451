import type { AccountTables } from "./account-tables.ts";
import type { BookingTables } from "./booking-tables.ts";
import type { FindingTables } from "./finding-tables.ts";
import type { HeldColumns, HeldTables } from "./held-tables.ts";
import type { KeptTables } from "./kept-tables.ts";
import type { NoticeTables } from "./notice-tables.ts";
import type { FileKind, FluidType, Reason, ServiceAction, Usage } from "./store.ts";
import type { TrailTables } from "./trail-tables.ts";

/** The tables as rows, shared by every database behind the store. Names stand once, rows refer to them by number. */
export interface Tables
  extends KeptTables,
    FindingTables,
    HeldTables,
    AccountTables,
    BookingTables,
    NoticeTables,
    TrailTables {
  readonly store_state: { readonly id: number; readonly revision: number };
  readonly instrument: NameRow;
  readonly site: NameRow;
  readonly fluid_lot: NameRow;
  readonly geometry: NameRow;
  readonly operator: NameRow;
  readonly instrument_register: InstrumentRow;
  readonly service: ServiceRow;
  readonly fluid_register: FluidRow;
  readonly geometry_register: GeometryRow;
  readonly file: FileRow;
  readonly reading: ReadingRow;
  readonly quarantined_row: QuarantineRow;
}

/** The tables that hold names alone. */
export const NAME_TABLES = ["instrument", "site", "fluid_lot", "geometry", "operator"] as const;
export type NameTable = (typeof NAME_TABLES)[number];

interface NameRow {
  readonly id: number;
  readonly name: string;
}

interface InstrumentRow {
  readonly instrument_id: number;
  readonly site_id: number | null;
  readonly model_class: string | null;
  readonly full_scale_torque_unm: number | null;
  readonly usage: Usage | null;
  readonly in_service_since: string | null;
  readonly last_service: string | null;
  readonly next_service_due: string | null;
}

interface ServiceRow {
  readonly instrument_id: number;
  readonly serviced_at: string;
  readonly action: ServiceAction;
}

interface FluidRow {
  readonly fluid_lot_id: number;
  readonly fluid_type: FluidType | null;
  readonly nominal_mpas: number | null;
  readonly certified_mpas: number | null;
  readonly expanded_uncertainty_percent: number | null;
  readonly reference_temperature_c: number | null;
  readonly temperature_coefficient_percent_per_k: number | null;
  readonly expires_on: string | null;
}

interface GeometryRow {
  readonly geometry_id: number;
  readonly bob_radius_mm: number | null;
  readonly cup_radius_mm: number | null;
  readonly bob_length_mm: number | null;
  readonly end_factor: number | null;
}

interface FileRow {
  readonly id: number;
  readonly file: string;
  readonly kind: FileKind;
  readonly sha256: string;
  readonly profile_sha256: string;
  readonly taken_in_at_ms: number;
  readonly rows: number;
  readonly accepted: number;
  readonly repeated: number;
  readonly quarantined: number;
  readonly flagged: number;
}

interface ReadingRow {
  readonly instrument_id: number;
  readonly checked_at_ms: number;
  readonly speed_rpm: number;
  readonly reading_mpas: number;
  readonly fluid_value_mpas: number;
  readonly full_scale_range_mpas: number;
  readonly torque_percent: number | null;
  readonly temperature_c: number | null;
  readonly fluid_lot_id: number | null;
  readonly geometry_id: number | null;
  readonly site_id: number | null;
  readonly operator_id: number | null;
  readonly check_id: string | null;
  readonly stage: number;
  readonly flags: number;
  readonly file_id: number;
  readonly line: number;
}

interface QuarantineRow extends HeldColumns {
  readonly id: number;
  readonly file_id: number;
  readonly line: number;
  readonly column: number;
  readonly part: number;
  readonly reason: Reason;
  readonly message: string;
  readonly raw: string;
  readonly digest: string;
}
