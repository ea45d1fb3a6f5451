import type { FluidRecord, GeometryRecord, InstrumentRecord, ResultRecord, ServiceRecord } from "../store.ts";
import type { Names } from "./names.ts";
import type { Session, Value } from "./session.ts";

/** A table that rows are put into: its columns with their types, those of the key first. */
interface Register {
  readonly table: string;
  readonly key: readonly (readonly [column: string, type: string])[];
  readonly values: readonly (readonly [column: string, type: string])[];
}

type Row = readonly (string | number | null)[];

/** Writes register rows within a transaction; each method answers, row by row, whether the store changed. */
export class RegisterWriter {
  readonly #session: Session;
  readonly #names: Names;

  constructor(session: Session, names: Names) {
    this.#session = session;
    this.#names = names;
  }

  async putResults(rows: readonly ResultRecord[]): Promise<boolean[]> {
    const instrument = await this.#instruments(rows);
    const values = rows.map((row) => [
      instrument(row),
      row.measuredAtMs,
      row.sample,
      row.viscosityMPaS,
      row.torquePercent,
    ]);
    return this.#put(RESULTS, values);
  }

  async putInstruments(rows: readonly InstrumentRecord[]): Promise<boolean[]> {
    const instrument = await this.#instruments(rows);
    const names = this.#names;
    await names.add(
      "site",
      rows.map(({ site }) => site),
    );
    const values = rows.map((row) => [
      instrument(row),
      names.get("site", row.site),
      row.modelClass,
      row.fullScaleTorqueUnm,
      row.usage,
      row.inServiceSince,
      row.lastService,
      row.nextServiceDue,
    ]);
    return this.#put(INSTRUMENTS, values);
  }

  async putServices(rows: readonly ServiceRecord[]): Promise<boolean[]> {
    const instrument = await this.#instruments(rows);
    return this.#put(
      SERVICES,
      rows.map((row) => [instrument(row), row.servicedAt, row.action]),
    );
  }

  async putFluids(rows: readonly FluidRecord[]): Promise<boolean[]> {
    const names = this.#names;
    await names.add(
      "fluid_lot",
      rows.map(({ fluidLot }) => fluidLot),
    );
    const values = rows.map((row) => [
      names.get("fluid_lot", row.fluidLot),
      row.fluidType,
      row.nominalMPaS,
      row.certifiedMPaS,
      row.expandedUncertaintyPercent,
      row.referenceTemperatureC,
      row.temperatureCoefficientPercentPerK,
      row.expiresOn,
    ]);
    return this.#put(FLUIDS, values);
  }

  async putGeometries(rows: readonly GeometryRecord[]): Promise<boolean[]> {
    const names = this.#names;
    await names.add(
      "geometry",
      rows.map(({ geometry }) => geometry),
    );
    const values = rows.map((row) => [
      names.get("geometry", row.geometry),
      row.bobRadiusMm,
      row.cupRadiusMm,
      row.bobLengthMm,
      row.endFactor,
    ]);
    return this.#put(GEOMETRIES, values);
  }

  async #instruments(rows: readonly { readonly instrument: string }[]) {
    await this.#names.add(
      "instrument",
      rows.map(({ instrument }) => instrument),
    );
    return ({ instrument }: { readonly instrument: string }) => this.#names.get("instrument", instrument);
  }

  /** One statement for all rows, unless a key comes twice: then the later row waits for the next. */
  async #put(register: Register, rows: readonly Row[]): Promise<boolean[]> {
    const changed: boolean[] = new Array(rows.length).fill(false);
    const keyOf = (row: Row) => JSON.stringify(row.slice(0, register.key.length));
    let waiting = rows.map((row, place) => ({ row, place, key: keyOf(row) }));
    while (waiting.length > 0) {
      const first = new Map(waiting.toReversed().map((one) => [one.key, one]));
      const now = [...first.values()];
      const put = await this.#session.arrays<Row>(
        upsert(register),
        [...register.key, ...register.values].map((_, i): Value => now.map(({ row }) => row[i]!)),
      );
      for (const key of put) changed[first.get(JSON.stringify(key))!.place] = true;
      waiting = waiting.filter((one) => first.get(one.key) !== one);
    }
    return changed;
  }
}

/** Adds rows or replaces them, touches none that is there already, and answers the keys of those that changed. */
function upsert({ table, key, values }: Register): string {
  const columns = [...key, ...values].map(([column]) => column);
  const arrays = [...key, ...values].map(([, type], i) => `$${i + 1}::${type}[]`);
  const keys = key.map(([column]) => column).join(", ");
  const stored = values.map(([column]) => `stored.${column}`).join(", ");
  const given = values.map(([column]) => `excluded.${column}`).join(", ");
  const set = values.map(([column]) => `${column} = excluded.${column}`).join(", ");
  const conflict =
    values.length === 0
      ? "DO NOTHING"
      : `(${keys}) DO UPDATE SET ${set} WHERE (${stored}) IS DISTINCT FROM (${given})`;
  return `INSERT INTO ${table} AS stored (${columns.join(", ")})
          SELECT * FROM unnest(${arrays.join(", ")}) ON CONFLICT ${conflict} RETURNING ${keys}`;
}

const INSTRUMENTS: Register = {
  table: "instrument_register",
  key: [["instrument_id", "bigint"]],
  values: [
    ["site_id", "bigint"],
    ["model_class", "text"],
    ["full_scale_torque_unm", "float8"],
    ["usage", "text"],
    ["in_service_since", "text"],
    ["last_service", "text"],
    ["next_service_due", "text"],
  ],
};

const SERVICES: Register = {
  table: "service",
  key: [
    ["instrument_id", "bigint"],
    ["serviced_at", "text"],
    ["action", "text"],
  ],
  values: [],
};

const FLUIDS: Register = {
  table: "fluid_register",
  key: [["fluid_lot_id", "bigint"]],
  values: [
    ["fluid_type", "text"],
    ["nominal_mpas", "float8"],
    ["certified_mpas", "float8"],
    ["expanded_uncertainty_percent", "float8"],
    ["reference_temperature_c", "float8"],
    ["temperature_coefficient_percent_per_k", "float8"],
    ["expires_on", "text"],
  ],
};

const GEOMETRIES: Register = {
  table: "geometry_register",
  key: [["geometry_id", "bigint"]],
  values: [
    ["bob_radius_mm", "float8"],
    ["cup_radius_mm", "float8"],
    ["bob_length_mm", "float8"],
    ["end_factor", "float8"],
  ],
};

const RESULTS: Register = {
  table: "result",
  key: [
    ["instrument_id", "bigint"],
    ["measured_at_ms", "bigint"],
    ["sample", "text"],
  ],
  values: [
    ["viscosity_mpas", "float8"],
    ["torque_percent", "float8"],
  ],
};
