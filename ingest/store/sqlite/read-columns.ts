import type { DatabaseSync } from "node:sqlite";
import { sameCheck } from "../same-check.ts";
import type { ReadingColumns } from "../store.ts";
import type { NameTable } from "../tables.ts";

type Row = readonly [
  instrumentId: number,
  checkedAtMs: number,
  speedRpm: number,
  readingMPaS: number,
  fluidValueMPaS: number,
  fullScaleRangeMPaS: number,
  torquePercent: number | null,
  temperatureC: number | null,
  fluidLotId: number | null,
  geometryId: number | null,
  siteId: number | null,
  operatorId: number | null,
  checkId: string | null,
  stage: number,
  flags: number,
  fileId: number,
  line: number,
];

/**
 * All readings that a filter leaves, as columns.
 *
 * @remarks Counts first, so that the columns have their final size; one read transaction holds both together.
 */
export function readColumns(
  raw: DatabaseSync,
  filter: { readonly instrument?: string; readonly untilMs?: number },
): ReadingColumns {
  raw.exec("BEGIN");
  try {
    return fillColumns(raw, filter);
  } finally {
    raw.exec("COMMIT");
  }
}

function fillColumns(
  raw: DatabaseSync,
  filter: { readonly instrument?: string; readonly untilMs?: number },
): ReadingColumns {
  const instruments = readNames(raw, "instrument");
  const fluidLots = readNames(raw, "fluid_lot");
  const geometries = readNames(raw, "geometry");
  const sites = readNames(raw, "site");
  const operators = readNames(raw, "operator");

  const conditions: string[] = [];
  const bound: number[] = [];
  if (filter.instrument !== undefined) {
    const index = instruments.names.indexOf(filter.instrument);
    conditions.push("instrument_id = ?");
    bound.push(index < 0 ? -1 : instruments.ids[index]!);
  }
  if (filter.untilMs !== undefined) {
    conditions.push("checked_at_ms <= ?");
    bound.push(filter.untilMs);
  }
  const where = conditions.length === 0 ? "" : ` WHERE ${conditions.join(" AND ")}`;

  const count = Number(raw.prepare(`SELECT count(*) AS n FROM reading${where}`).get(...bound)?.n);
  const columns = {
    count,
    instrument: new Int32Array(count),
    checkedAtMs: new Float64Array(count),
    check: new Int32Array(count),
    speedRpm: new Float64Array(count),
    readingMPaS: new Float64Array(count),
    fluidValueMPaS: new Float64Array(count),
    fullScaleRangeMPaS: new Float64Array(count),
    torquePercent: new Float64Array(count),
    temperatureC: new Float64Array(count),
    fluidLot: new Int32Array(count),
    geometry: new Int32Array(count),
    site: new Int32Array(count),
    operator: new Int32Array(count),
    stage: new Uint8Array(count),
    flags: new Uint16Array(count),
    fileId: new Int32Array(count),
    line: new Int32Array(count),
    names: {
      instruments: instruments.names,
      fluidLots: fluidLots.names,
      geometries: geometries.names,
      sites: sites.names,
      operators: operators.names,
    },
  };

  const select = raw.prepare(
    `SELECT instrument_id, checked_at_ms, speed_rpm, reading_mpas, fluid_value_mpas, full_scale_range_mpas,
            torque_percent, temperature_c, fluid_lot_id, geometry_id, site_id, operator_id, check_id, stage, flags,
            file_id, line
     FROM reading${where} ORDER BY instrument_id, checked_at_ms, speed_rpm`,
  );
  select.setReturnArrays(true);
  const numberCheck = checkNumbering();
  let i = 0;
  for (const row of select.iterate(...bound) as Iterable<unknown> as Iterable<Row>) {
    const [instrumentId, checkedAtMs, speedRpm, reading, value, range, torque, temperature] = row;
    columns.instrument[i] = instruments.indexOf(instrumentId);
    columns.checkedAtMs[i] = checkedAtMs;
    columns.check[i] = numberCheck(instrumentId, checkedAtMs, row[12]);
    columns.speedRpm[i] = speedRpm;
    columns.readingMPaS[i] = reading;
    columns.fluidValueMPaS[i] = value;
    columns.fullScaleRangeMPaS[i] = range;
    columns.torquePercent[i] = torque ?? Number.NaN;
    columns.temperatureC[i] = temperature ?? Number.NaN;
    columns.fluidLot[i] = fluidLots.indexOf(row[8]);
    columns.geometry[i] = geometries.indexOf(row[9]);
    columns.site[i] = sites.indexOf(row[10]);
    columns.operator[i] = operators.indexOf(row[11]);
    columns.stage[i] = row[13];
    columns.flags[i] = row[14];
    columns.fileId[i] = row[15];
    columns.line[i] = row[16];
    i++;
  }
  return columns;
}

/** Numbers checks as rows come by: rows of one unit in order of time. */
function checkNumbering(): (instrumentId: number, checkedAtMs: number, checkId: string | null) => number {
  let number = -1;
  let instrument = -1;
  let first = { checkedAtMs: 0, checkId: null as string | null };
  return (instrumentId, checkedAtMs, checkId) => {
    const next = { checkedAtMs, checkId };
    if (instrumentId !== instrument || !sameCheck(first, next)) {
      number++;
      instrument = instrumentId;
      first = next;
    }
    return number;
  };
}

/** The names of one table in the order of their numbers, and from a number to its place in that order. */
function readNames(raw: DatabaseSync, table: NameTable) {
  const rows = raw.prepare(`SELECT id, name FROM ${table} ORDER BY id`).all();
  const ids = rows.map((row) => Number(row.id));
  const places = new Map(ids.map((id, place) => [id, place]));
  return {
    ids,
    names: rows.map((row) => String(row.name)),
    indexOf: (id: number | null) => (id === null ? -1 : (places.get(id) ?? -1)),
  };
}
