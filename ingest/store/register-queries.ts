import type { Kysely } from "kysely";
import type { FluidRecord, GeometryRecord, InstrumentRecord, Registers, ServiceRecord } from "./store.ts";
import type { Tables } from "./tables.ts";

// The registers as queries that any database behind the store answers.

/** Registered instruments by name, or only one of them. */
export function selectInstruments(db: Kysely<Tables>, instrument?: string): Promise<InstrumentRecord[]> {
  return db
    .selectFrom("instrument_register as row")
    .innerJoin("instrument", "instrument.id", "row.instrument_id")
    .leftJoin("site", "site.id", "row.site_id")
    .select([
      "instrument.name as instrument",
      "site.name as site",
      "row.model_class as modelClass",
      "row.full_scale_torque_unm as fullScaleTorqueUnm",
      "row.usage",
      "row.in_service_since as inServiceSince",
      "row.last_service as lastService",
      "row.next_service_due as nextServiceDue",
    ])
    .$if(instrument !== undefined, (all) => all.where("instrument.name", "=", instrument!))
    .orderBy("instrument.name")
    .execute();
}

/** Services by instrument and day, of all instruments or of one. */
export function selectServices(db: Kysely<Tables>, instrument?: string): Promise<ServiceRecord[]> {
  return db
    .selectFrom("service as row")
    .innerJoin("instrument", "instrument.id", "row.instrument_id")
    .select(["instrument.name as instrument", "row.serviced_at as servicedAt", "row.action"])
    .$if(instrument !== undefined, (all) => all.where("instrument.name", "=", instrument!))
    .orderBy("instrument.name")
    .orderBy("row.serviced_at")
    .orderBy("row.action")
    .execute();
}

/** All registered lots, by name. */
export function selectFluids(db: Kysely<Tables>): Promise<FluidRecord[]> {
  return db
    .selectFrom("fluid_register as row")
    .innerJoin("fluid_lot", "fluid_lot.id", "row.fluid_lot_id")
    .select([
      "fluid_lot.name as fluidLot",
      "row.fluid_type as fluidType",
      "row.nominal_mpas as nominalMPaS",
      "row.certified_mpas as certifiedMPaS",
      "row.expanded_uncertainty_percent as expandedUncertaintyPercent",
      "row.reference_temperature_c as referenceTemperatureC",
      "row.temperature_coefficient_percent_per_k as temperatureCoefficientPercentPerK",
      "row.expires_on as expiresOn",
    ])
    .orderBy("fluid_lot.name")
    .execute();
}

/** All registered geometries, by name. */
export function selectGeometries(db: Kysely<Tables>): Promise<GeometryRecord[]> {
  return db
    .selectFrom("geometry_register as row")
    .innerJoin("geometry", "geometry.id", "row.geometry_id")
    .select([
      "geometry.name as geometry",
      "row.bob_radius_mm as bobRadiusMm",
      "row.cup_radius_mm as cupRadiusMm",
      "row.bob_length_mm as bobLengthMm",
      "row.end_factor as endFactor",
    ])
    .orderBy("geometry.name")
    .execute();
}

/** What readings are judged by, each by its name. */
export async function selectRegisters(db: Kysely<Tables>): Promise<Registers> {
  return {
    instruments: new Map((await selectInstruments(db)).map((row) => [row.instrument, row])),
    fluids: new Map((await selectFluids(db)).map((row) => [row.fluidLot, row])),
    geometries: new Map((await selectGeometries(db)).map((row) => [row.geometry, row])),
  };
}
