import type { DatabaseSync, SQLInputValue, StatementSync } from "node:sqlite";
import type { FluidRecord, GeometryRecord, InstrumentRecord, ResultRecord, ServiceRecord } from "../store.ts";
import type { Names } from "./names.ts";

/** Writes register rows within a transaction; each method answers whether the store changed. */
export class RegisterWriter {
  readonly #names: Names;
  readonly #instrument: StatementSync;
  readonly #service: StatementSync;
  readonly #fluid: StatementSync;
  readonly #geometry: StatementSync;
  readonly #result: StatementSync;

  constructor(raw: DatabaseSync, names: Names) {
    this.#names = names;
    this.#instrument = raw.prepare(
      upsert("instrument_register", "instrument_id", [
        "site_id",
        "model_class",
        "full_scale_torque_unm",
        "usage",
        "in_service_since",
        "last_service",
        "next_service_due",
      ]),
    );
    this.#service = raw.prepare(
      "INSERT INTO service (instrument_id, serviced_at, action) VALUES (?, ?, ?) ON CONFLICT DO NOTHING",
    );
    this.#fluid = raw.prepare(
      upsert("fluid_register", "fluid_lot_id", [
        "fluid_type",
        "nominal_mpas",
        "certified_mpas",
        "expanded_uncertainty_percent",
        "reference_temperature_c",
        "temperature_coefficient_percent_per_k",
        "expires_on",
      ]),
    );
    this.#geometry = raw.prepare(
      upsert("geometry_register", "geometry_id", [
        "bob_radius_mm",
        "cup_radius_mm",
        "bob_length_mm",
        "end_factor",
      ]),
    );
    this.#result = raw.prepare(
      `INSERT INTO result (instrument_id, measured_at_ms, sample, viscosity_mpas, torque_percent) VALUES (?, ?, ?, ?, ?)
       ON CONFLICT (instrument_id, measured_at_ms, sample) DO UPDATE
       SET viscosity_mpas = excluded.viscosity_mpas, torque_percent = excluded.torque_percent
       WHERE viscosity_mpas IS NOT excluded.viscosity_mpas OR torque_percent IS NOT excluded.torque_percent`,
    );
  }

  putResult(row: ResultRecord): boolean {
    return changes(this.#result, [
      this.#names.idOf("instrument", row.instrument),
      row.measuredAtMs,
      row.sample,
      row.viscosityMPaS,
      row.torquePercent,
    ]);
  }

  putInstrument(row: InstrumentRecord): boolean {
    return changes(this.#instrument, [
      this.#names.idOf("instrument", row.instrument),
      this.#names.idOrNull("site", row.site),
      row.modelClass,
      row.fullScaleTorqueUnm,
      row.usage,
      row.inServiceSince,
      row.lastService,
      row.nextServiceDue,
    ]);
  }

  putService(row: ServiceRecord): boolean {
    return changes(this.#service, [
      this.#names.idOf("instrument", row.instrument),
      row.servicedAt,
      row.action,
    ]);
  }

  putFluid(row: FluidRecord): boolean {
    return changes(this.#fluid, [
      this.#names.idOf("fluid_lot", row.fluidLot),
      row.fluidType,
      row.nominalMPaS,
      row.certifiedMPaS,
      row.expandedUncertaintyPercent,
      row.referenceTemperatureC,
      row.temperatureCoefficientPercentPerK,
      row.expiresOn,
    ]);
  }

  putGeometry(row: GeometryRecord): boolean {
    return changes(this.#geometry, [
      this.#names.idOf("geometry", row.geometry),
      row.bobRadiusMm,
      row.cupRadiusMm,
      row.bobLengthMm,
      row.endFactor,
    ]);
  }
}

/** Adds a row or replaces it, and touches nothing where the very same row is there. */
function upsert(table: string, key: string, columns: readonly string[]): string {
  const marks = [key, ...columns].map(() => "?").join(", ");
  const set = columns.map((column) => `${column} = excluded.${column}`).join(", ");
  const differs = columns.map((column) => `${table}.${column} IS NOT excluded.${column}`).join(" OR ");
  return `INSERT INTO ${table} (${key}, ${columns.join(", ")}) VALUES (${marks})
          ON CONFLICT (${key}) DO UPDATE SET ${set} WHERE ${differs}`;
}

function changes(statement: StatementSync, values: readonly SQLInputValue[]): boolean {
  return Number(statement.run(...values).changes) > 0;
}
