import type { FleetChecks, LotFacts, UnitChecks } from "../../analysis/index.ts";
import type {
  FluidRecord,
  InstrumentRecord,
  ReadingColumns,
  ServiceRecord,
  Store,
} from "../../ingest/index.ts";
import type { Settings } from "../settings.ts";
import { settingsOverTime } from "../settings-in-force.ts";
import { flagsByRules, rulesOf, toleranceRuleOf } from "./check-rules.ts";
import { dayOfIso, endOfDayMs } from "./days.ts";
import { judgementsOf, rowsSetAside, type StandingJudgement } from "./judgements.ts";
import { SeriesBuilder } from "./series-builder.ts";

export interface LoadedFleet {
  readonly fleet: FleetChecks;
  readonly columns: ReadingColumns;
  /** Instruments that have readings but no row in the register: they cannot be listed as units. */
  readonly unregistered: readonly string[];
  /** Per unit of `fleet.units`: the row of `columns` of each of its readings. */
  readonly rows: readonly Int32Array[];
}

export interface LoadWhat {
  /** Only this unit; all registered units where left out. */
  readonly instrument?: string;
  /** Only these units, which must be registered. */
  readonly instruments?: readonly string[];
  /** Checks are judged by the settings of their `day`, or, to see what these would have made of them, all by `settings`. */
  readonly judgedBy?: "day" | "settings";
}

/**
 * Turns stored checks into the series that the analysis takes: the only place where that happens. Each check is judged
 * by the settings that were in force when it was made.
 *
 * @param settings By which units are judged now and ahead.
 * @param asOf ISO day; checks and services after its end (UTC) are not looked at.
 */
export async function loadFleet(
  store: Store,
  asOf: string,
  settings: Settings,
  { instrument, instruments: chosen, judgedBy = "day" }: LoadWhat = {},
): Promise<LoadedFleet> {
  const [instruments, services, fluids, stored, judgements, overTime] = await Promise.all([
    store.instruments(instrument),
    store.services(instrument),
    store.fluids(),
    store.readings({
      untilMs: endOfDayMs(asOf),
      ...(instrument !== undefined && { instrument }),
      ...(chosen !== undefined && { instruments: chosen }),
    }),
    judgementsOf(store, asOf, instrument),
    settingsOverTime(store, asOf),
  ]);
  const servicesOf = Map.groupBy(services, (s) => s.instrument);
  const fluidOf = new Map(fluids.map((f) => [f.fluidLot, f]));
  const rules = (judgedBy === "day" ? overTime : [{ ...overTime[0]!, settings }]).map(rulesOf);
  const columns = { ...stored, flags: flagsByRules(stored, fluidOf, rules) };
  const builder = new SeriesBuilder(columns, fluidOf, rules, rowsSetAside(columns, judgements));
  const rangeOf = rowRangesByInstrument(columns);

  const wanted = chosen && new Set(chosen);
  const units: UnitChecks[] = [];
  const rows: Int32Array[] = [];
  for (const record of instruments) {
    if (wanted?.has(record.instrument) === false) continue;
    const [from, to] = rangeOf.get(record.instrument) ?? [0, 0];
    const order = rowsInTime(columns, from, to);
    units.push(
      unitChecks(record, servicesOf.get(record.instrument) ?? [], judgements, asOf, builder.series(order)),
    );
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
      toleranceRule: toleranceRuleOf(settings),
      checkEveryDays: settings.check_every_days,
    },
    columns,
    unregistered: instrument === undefined && chosen === undefined ? unregistered(rangeOf, instruments) : [],
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
  judgements: readonly StandingJudgement[],
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
    baselineFromDays: judgements.flatMap(({ kind, instrument, onDay, undoneBy }) =>
      kind === "baseline" && instrument === record.instrument && undoneBy === null ? [dayOfIso(onDay!)] : [],
    ),
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
  const { checkedAtMs, fluidValueMPaS, fullScaleRangeMPaS } = columns;
  const inTime = (a: number, b: number) =>
    checkedAtMs[a]! - checkedAtMs[b]! ||
    fluidValueMPaS[a]! / fullScaleRangeMPaS[a]! - fluidValueMPaS[b]! / fullScaleRangeMPaS[b]!;
  const order = new Int32Array(to - from);
  let isSorted = true;
  for (let row = from; row < to; row++) {
    order[row - from] = row;
    if (row > from && inTime(row - 1, row) > 0) isSorted = false;
  }
  // With one fluid a higher speed is a higher torque, and nothing is left to do.
  return isSorted ? order : order.sort(inTime);
}
