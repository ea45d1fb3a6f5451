import {
  STAGES as ANALYSIS_STAGES,
  type FleetChecks,
  fluidValueAt,
  type LotFacts,
  type ToleranceRule,
  tolerancePercentFs,
  type UnitChecks,
  USE,
} from "../../analysis/index.ts";
import {
  type FluidRecord,
  flagBits,
  type InstrumentRecord,
  type ReadingColumns,
  type ServiceRecord,
  STAGES as STORED_STAGES,
  type Store,
} from "../../ingest/index.ts";
import type { Settings } from "../settings.ts";
import { DAY_MS, dayOfIso, endOfDayMs } from "./days.ts";
import { judgementsOf, rowsSetAside } from "./judgements.ts";

const STAGE_OF = STORED_STAGES.map((stage) => ANALYSIS_STAGES.indexOf(stage));

export interface LoadedFleet {
  readonly fleet: FleetChecks;
  readonly columns: ReadingColumns;
  /** Instruments that have readings but no row in the register: they cannot be listed as units. */
  readonly unregistered: readonly string[];
  /** Per unit of `fleet.units`: the row of `columns` of each of its readings. */
  readonly rows: readonly Int32Array[];
}

export function toleranceRuleOf(settings: Settings): ToleranceRule {
  const { tolerance } = settings;
  return {
    fluidPercent: tolerance.fluid_percent,
    instrumentPercent: tolerance.instrument_percent,
    accessoryPercent: tolerance.accessory_percent,
    combine: tolerance.combine,
    perGeometry: Object.fromEntries(
      Object.entries(tolerance.per_geometry).map(([geometry, shares]) => [
        geometry,
        {
          ...(shares.fluid_percent !== undefined && { fluidPercent: shares.fluid_percent }),
          ...(shares.instrument_percent !== undefined && { instrumentPercent: shares.instrument_percent }),
          ...(shares.accessory_percent !== undefined && { accessoryPercent: shares.accessory_percent }),
          ...(shares.combine !== undefined && { combine: shares.combine }),
        },
      ]),
    ),
  };
}

/**
 * Turns stored checks into the series that the analysis takes: the only place where that happens.
 *
 * @param asOf ISO day; checks and services after its end (UTC) are not looked at.
 * @param instrument Only this unit; all registered units where left out.
 */
export async function loadFleet(
  store: Store,
  asOf: string,
  settings: Settings,
  instrument?: string,
): Promise<LoadedFleet> {
  const [instruments, services, fluids, columns, judgements] = await Promise.all([
    store.instruments(),
    store.services(),
    store.fluids(),
    store.readings({ untilMs: endOfDayMs(asOf), ...(instrument !== undefined && { instrument }) }),
    judgementsOf(store, asOf, instrument),
  ]);
  const servicesOf = Map.groupBy(services, (s) => s.instrument);
  const fluidOf = new Map(fluids.map((f) => [f.fluidLot, f]));
  const rule = toleranceRuleOf(settings);
  const builder = new SeriesBuilder(columns, fluidOf, settings, rule, rowsSetAside(columns, judgements));
  const rangeOf = rowRangesByInstrument(columns);

  const units: UnitChecks[] = [];
  const rows: Int32Array[] = [];
  for (const record of instruments) {
    if (instrument !== undefined && record.instrument !== instrument) continue;
    const [from, to] = rangeOf.get(record.instrument) ?? [0, 0];
    const order = rowsInTime(columns, from, to);
    units.push(unitChecks(record, servicesOf.get(record.instrument) ?? [], asOf, builder.series(order)));
    rows.push(order);
  }
  return {
    fleet: {
      asOfDay: dayOfIso(asOf),
      units,
      lots: columns.names.fluidLots.map((name) => lotFacts(name, fluidOf.get(name))),
      sites: columns.names.sites,
      geometries: columns.names.geometries,
      operators: columns.names.operators,
      toleranceRule: rule,
    },
    columns,
    unregistered: instrument === undefined ? unregistered(rangeOf, instruments) : [],
    rows,
  };
}

function unregistered(
  rangeOf: ReadonlyMap<string, unknown>,
  instruments: readonly InstrumentRecord[],
): string[] {
  const registered = new Set(instruments.map((record) => record.instrument));
  return [...rangeOf.keys()].filter((name) => !registered.has(name)).sort();
}

function unitChecks(
  record: InstrumentRecord,
  services: readonly ServiceRecord[],
  asOf: string,
  readings: UnitChecks["readings"],
): UnitChecks {
  const known = services
    .map((s) => ({ day: dayOfIso(s.servicedAt), action: s.action }))
    .concat(registeredService(record, services))
    .filter((s) => s.day < dayOfIso(asOf) + 1)
    .sort((a, b) => a.day - b.day);
  return {
    instrument: record.instrument,
    site: record.site,
    modelClass: record.modelClass,
    usage: record.usage,
    services: known,
    nextServiceDueDay: dueDay(record, services, known.at(-1)?.day ?? null, dayOfIso(asOf)),
    readings,
  };
}

/** The register's last service where the list of services does not reach that far: taken to have adjusted the unit. */
function registeredService(
  { lastService }: InstrumentRecord,
  services: readonly ServiceRecord[],
): UnitChecks["services"][number][] {
  if (lastService === null || services.some((s) => s.servicedAt.slice(0, 10) >= lastService)) return [];
  return [{ day: dayOfIso(lastService), action: "adjusted" }];
}

/**
 * When the next service was due as seen on the as-of day. The register holds today's date; seen from
 * before the last service, the same interval counts from the service before.
 */
function dueDay(
  record: InstrumentRecord,
  services: readonly ServiceRecord[],
  lastKnownService: number | null,
  asOfDay: number,
): number | null {
  if (record.nextServiceDue === null) return null;
  const due = dayOfIso(record.nextServiceDue);
  const registered = record.lastService === null ? null : dayOfIso(record.lastService);
  const last = Math.max(registered ?? -Infinity, ...services.map((s) => dayOfIso(s.servicedAt)));
  if (!(last >= asOfDay + 1)) return due;
  const since = lastKnownService ?? (record.inServiceSince === null ? null : dayOfIso(record.inServiceSince));
  return since === null ? null : since + (due - last);
}

function lotFacts(fluidLot: string, fluid: FluidRecord | undefined): LotFacts {
  return {
    fluidLot,
    fluidType: fluid?.fluidType ?? null,
    temperatureCoefficient: fluid?.temperatureCoefficientPercentPerK ?? null,
    expandedUncertainty: fluid?.expandedUncertaintyPercent ?? null,
  };
}

function rowRangesByInstrument(columns: ReadingColumns): Map<string, [number, number]> {
  const ranges = new Map<string, [number, number]>();
  let from = 0;
  for (let row = 1; row <= columns.count; row++) {
    if (row < columns.count && columns.instrument[row] === columns.instrument[from]) continue;
    const name = columns.names.instruments[columns.instrument[from] ?? -1];
    if (name !== undefined) ranges.set(name, [from, row]);
    from = row;
  }
  return ranges;
}

/** Rows `from` to `to` - 1 by time, then expected torque (the store sorts by time, then speed). */
function rowsInTime(columns: ReadingColumns, from: number, to: number): Int32Array {
  const order = Int32Array.from({ length: to - from }, (_, i) => from + i);
  return order.sort(
    (a, b) =>
      columns.checkedAtMs[a]! - columns.checkedAtMs[b]! ||
      columns.fluidValueMPaS[a]! / columns.fullScaleRangeMPaS[a]! -
        columns.fluidValueMPaS[b]! / columns.fullScaleRangeMPaS[b]!,
  );
}

const NOT_USED = flagBits(["torque-low", "looks-nominal"]);
const TEMPERATURE_OFF = flagBits(["temperature-off"]);
const OUTLIER = flagBits(["outlier"]);

class SeriesBuilder {
  private readonly columns: ReadingColumns;
  private readonly rule: ToleranceRule;
  private readonly correct: boolean;
  private readonly referenceC: Float64Array;
  private readonly coefficient: Float64Array;
  private readonly settings: Settings;
  private readonly setAside: Uint8Array | null;

  constructor(
    columns: ReadingColumns,
    fluidOf: ReadonlyMap<string, FluidRecord>,
    settings: Settings,
    rule: ToleranceRule,
    setAside: Uint8Array | null,
  ) {
    this.setAside = setAside;
    this.columns = columns;
    this.rule = rule;
    this.settings = settings;
    this.correct = settings.temperature.correct;
    const lots = columns.names.fluidLots.map((name) => fluidOf.get(name));
    this.referenceC = Float64Array.from(
      lots,
      (f) => f?.referenceTemperatureC ?? settings.temperature.reference_c,
    );
    this.coefficient = Float64Array.from(lots, (f) => f?.temperatureCoefficientPercentPerK ?? Number.NaN);
  }

  /** The unit's readings as columns, in the order of `rows`. */
  series(rows: Int32Array): UnitChecks["readings"] {
    const { columns } = this;
    const count = rows.length;
    const result = {
      count,
      day: new Float64Array(count),
      check: new Int32Array(count),
      torque: new Float64Array(count),
      error: new Float64Array(count),
      tolerance: new Float64Array(count),
      lot: new Int32Array(count),
      site: new Int32Array(count),
      geometry: new Int32Array(count),
      operator: new Int32Array(count),
      temperatureOffset: new Float64Array(count),
      stage: new Uint8Array(count),
      use: new Uint8Array(count),
    };
    let check = -1;
    for (let i = 0; i < count; i++) {
      const row = rows[i]!;
      if (i === 0 || columns.check[rows[i - 1]!] !== columns.check[row]) check++;
      const lot = columns.fluidLot[row]!;
      const offset =
        columns.temperatureC[row]! -
        (lot >= 0 ? this.referenceC[lot]! : this.settings.temperature.reference_c);
      const value = columns.fluidValueMPaS[row]!;
      const range = columns.fullScaleRangeMPaS[row]!;
      const corrected = this.correct ? this.valueAt(value, lot, offset) : null;
      const expected = corrected ?? value;
      const geometry = columns.geometry[row]!;
      result.day[i] = columns.checkedAtMs[row]! / DAY_MS;
      result.check[i] = check;
      result.torque[i] = (100 * value) / range;
      result.error[i] = (100 * (columns.readingMPaS[row]! - expected)) / range;
      result.tolerance[i] = tolerancePercentFs(
        result.torque[i]!,
        this.rule,
        columns.names.geometries[geometry] ?? null,
      );
      result.lot[i] = lot;
      result.site[i] = columns.site[row]!;
      result.geometry[i] = geometry;
      result.operator[i] = columns.operator[row]!;
      // Once corrected, the offset has done its work: the fleet model must not take it away a second time.
      result.temperatureOffset[i] = corrected === null ? offset : 0;
      result.stage[i] = STAGE_OF[columns.stage[row]!]!;
      result.use[i] =
        this.setAside?.[row] === 1 ? USE.shownOnly : this.useOf(columns.flags[row]!, corrected !== null);
    }
    return result;
  }

  /** The certified value at the fluid's temperature; null where either is unknown or too far off. */
  private valueAt(value: number, lot: number, offset: number): number | null {
    const coefficient = lot >= 0 ? this.coefficient[lot]! : Number.NaN;
    return Number.isFinite(coefficient * offset) ? fluidValueAt(value, offset, coefficient) : null;
  }

  private useOf(flags: number, wasCorrected: boolean): number {
    if (flags & NOT_USED) return USE.shownOnly;
    if (flags & TEMPERATURE_OFF && !wasCorrected) return USE.shownOnly;
    return flags & OUTLIER ? USE.lowWeight : USE.full;
  }
}
