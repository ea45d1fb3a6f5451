import {
  bandOf,
  cutLives,
  type FleetChecks,
  STAGES,
  sinceWhenFound,
  tolerancePercentFs,
  type UnitChecks,
  type UnitPaths,
  unitInFull,
} from "../../analysis/index.ts";
import { flagsOf, type ReadingColumns, type Store } from "../../ingest/index.ts";
import type { FleetRun } from "./assess-store.ts";
import { isoOfDay } from "./days.ts";
import { judgementsOf } from "./judgements.ts";
import { type LoadedFleet, loadFleet } from "./load-fleet.ts";
import { individualsCharts } from "./unit-charts.ts";
import { linearityViews } from "./unit-linearity.ts";
import type { UnitReading, UnitView } from "./views.ts";
import { unitWatch } from "./watch-store.ts";

interface UnitRequest {
  readonly store: Store;
  /** The store's present one, which may be ahead of the run's: a unit's own checks are always the latest. */
  readonly revision: number;
  readonly asOf: string;
  readonly run: FleetRun;
  readonly instrument: string;
}

/** Everything about one unit, from its own readings and the kept figures of the fleet; null: no such unit. */
export async function buildUnitView({
  store,
  revision,
  asOf,
  run,
  instrument,
}: UnitRequest): Promise<UnitView | null> {
  const loaded = await loadFleet(store, asOf, run.settings, { instrument });
  const { fleet } = loaded;
  const unit = fleet.units[0];
  const [record] = await store.instruments(instrument);
  if (unit === undefined || record === undefined) return null;

  const { forecast, paths } = unitInFull(unit, fleet, run.figures);
  const ownError = paths?.errorWithoutSharedCauses ?? unit.readings.error;
  const lives = cutLives(unit.readings, unit.services);
  const readings = await unitReadings(store, loaded, unit, paths);
  const ownReadings = { ...unit.readings, error: ownError };
  const watch = await unitWatch(store, asOf, run, unit, fleet);
  return {
    asOf,
    revision,
    instrument: record,
    forecast,
    paths,
    services: unit.services.map(({ day, action }) => ({ instrument, servicedAt: isoOfDay(day), action })),
    readings,
    lots: lotsUsed(readings, run),
    toleranceAlongTorque: toleranceAlongTorque(fleet, unit),
    linearity: linearityViews(
      ownReadings,
      lives,
      loaded.columns.names.fluidLots,
      readings.map((reading) => reading.speedRpm),
    ),
    judgements: await judgementsOf(store, asOf, instrument),
    watch,
    charts: individualsCharts(watch.charts),
    outSince: forecast.state === "out" ? sinceWhenFound(unit, null, fleet, run.figures) : null,
  };
}

async function unitReadings(
  store: Store,
  { columns, rows }: LoadedFleet,
  unit: UnitChecks,
  paths: UnitPaths | null,
): Promise<UnitReading[]> {
  const fileNames = new Map((await store.files()).map((f) => [f.fileId, f.file]));
  const { readings } = unit;
  const { names } = columns;
  return Array.from(rows[0]!, (row, i) => ({
    day: readings.day[i]!,
    check: readings.check[i]!,
    stage: STAGES[readings.stage[i]!]!,
    fluidLot: names.fluidLots[readings.lot[i]!] ?? null,
    geometry: names.geometries[readings.geometry[i]!] ?? null,
    operator: names.operators[readings.operator[i]!] ?? null,
    site: names.sites[readings.site[i]!] ?? null,
    file: fileNames.get(columns.fileId[row]!) ?? "",
    line: columns.line[row]!,
    speedRpm: columns.speedRpm[row]!,
    torque: readings.torque[i]!,
    band: bandOf(readings.torque[i]!),
    readingMPaS: columns.readingMPaS[row]!,
    certifiedMPaS: columns.fluidValueMPaS[row]!,
    rangeMPaS: columns.fullScaleRangeMPaS[row]!,
    temperatureOffsetK: measuredOffset(columns, row, readings.temperatureOffset[i]!),
    error: readings.error[i]!,
    tolerance: readings.tolerance[i]!,
    errorOverTolerance: readings.error[i]! / readings.tolerance[i]!,
    errorWithoutSharedCauses: paths?.errorWithoutSharedCauses[i] ?? null,
    use: readings.use[i]!,
    flags: flagsOf(columns.flags[row]!),
  }));
}

function measuredOffset(columns: ReadingColumns, row: number, offset: number): number | null {
  return Number.isNaN(columns.temperatureC[row]!) ? null : offset;
}

function lotsUsed(readings: readonly UnitReading[], run: FleetRun): UnitView["lots"] {
  const used = new Set(readings.map((r) => r.fluidLot));
  return run.assessment.lots.filter((lot) => used.has(lot.fluidLot));
}

function toleranceAlongTorque(fleet: FleetChecks, unit: UnitChecks): UnitView["toleranceAlongTorque"] {
  const { geometry, count } = unit.readings;
  const name = fleet.geometries[geometry[count - 1] ?? -1] ?? null;
  const torque = Array.from({ length: 101 }, (_, x) => x);
  return { torque, tolerance: torque.map((x) => tolerancePercentFs(x, fleet.toleranceRule, name)) };
}
