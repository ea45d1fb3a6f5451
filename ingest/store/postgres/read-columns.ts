import { chosenInstruments } from "../chosen-instruments.ts";
import { emptyColumns } from "../empty-columns.ts";
import { sameCheck } from "../same-check.ts";
import type { ReadingColumns, ReadingFilter } from "../store.ts";
import type { NameTable } from "../tables.ts";
import { CopyRows } from "./copy-rows.ts";
import { fromStored } from "./safe-text.ts";
import type { Session } from "./session.ts";

/**
 * All readings that a filter leaves, as columns.
 *
 * @remarks Counts first, so that the columns have their final size; one snapshot holds both together.
 */
export async function readColumns(session: Session, filter: ReadingFilter): Promise<ReadingColumns> {
  await session.run("BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY");
  try {
    return await fillColumns(session, filter);
  } finally {
    await session.rollback();
  }
}

async function fillColumns(session: Session, filter: ReadingFilter): Promise<ReadingColumns> {
  const chosen = chosenInstruments(filter);
  const instruments = await readNames(session, "instrument", chosen);
  const fluidLots = await readNames(session, "fluid_lot");
  const geometries = await readNames(session, "geometry");
  const sites = await readNames(session, "site");
  const operators = await readNames(session, "operator");

  const conditions: string[] = [];
  // COPY takes no parameters: these are numbers of ours.
  if (chosen !== null) conditions.push(`instrument_id = ANY('{${instruments.ids.join(",")}}'::bigint[])`);
  if (filter.untilMs !== undefined) conditions.push(`checked_at_ms <= ${Math.floor(filter.untilMs)}`);
  const where = conditions.length === 0 ? "" : ` WHERE ${conditions.join(" AND ")}`;

  const [counted] = await session.all<{ n: number }>(`SELECT count(*) AS n FROM reading${where}`);
  const columns = emptyColumns(counted!.n, false);
  const rows = new CopyRows(17);
  let i = 0;
  let check = -1;
  let unit = -1;
  let first = { checkedAtMs: 0, checkId: null as string | null };
  const take = (row: CopyRows) => {
    const instrumentId = row.whole(0);
    const checkId = row.text(12);
    const next = { checkedAtMs: row.whole(1), checkId: checkId === null ? null : fromStored(checkId) };
    if (instrumentId !== unit || !sameCheck(first, next)) {
      check++;
      unit = instrumentId;
      first = next;
    }
    columns.instrument[i] = instruments.places[instrumentId]!;
    columns.checkedAtMs[i] = next.checkedAtMs;
    columns.check[i] = check;
    columns.speedRpm[i] = row.number(2);
    columns.readingMPaS[i] = row.number(3);
    columns.fluidValueMPaS[i] = row.number(4);
    columns.fullScaleRangeMPaS[i] = row.number(5);
    columns.torquePercent[i] = row.number(6);
    columns.temperatureC[i] = row.number(7);
    columns.fluidLot[i] = row.isNull(8) ? -1 : fluidLots.places[row.whole(8)]!;
    columns.geometry[i] = row.isNull(9) ? -1 : geometries.places[row.whole(9)]!;
    columns.site[i] = row.isNull(10) ? -1 : sites.places[row.whole(10)]!;
    columns.operator[i] = row.isNull(11) ? -1 : operators.places[row.whole(11)]!;
    columns.stage[i] = row.whole(13);
    columns.flags[i] = row.whole(14);
    columns.fileId[i] = row.whole(15);
    columns.line[i] = row.whole(16);
    i++;
  };
  const pieces = session.copyOut(
    `COPY (SELECT instrument_id, checked_at_ms, speed_rpm, reading_mpas, fluid_value_mpas, full_scale_range_mpas,
             torque_percent, temperature_c, fluid_lot_id, geometry_id, site_id, operator_id, check_id, stage, flags,
             file_id, line
           FROM reading${where} ORDER BY instrument_id, checked_at_ms, speed_rpm) TO STDOUT (FORMAT binary)`,
  );
  for await (const piece of pieces) rows.take(piece, take);
  return {
    count: i,
    ...columns,
    names: {
      instruments: instruments.names,
      fluidLots: fluidLots.names,
      geometries: geometries.names,
      sites: sites.names,
      operators: operators.names,
    },
  };
}

/** The names of one table in the order of their numbers, and from a number to its place in that order. */
async function readNames(session: Session, table: NameTable, chosen: ReadonlySet<string> | null = null) {
  const [only, values] = chosen === null ? ["", []] : ["WHERE name = ANY($1) ", [[...chosen]]];
  const rows = await session.arrays<[id: number, name: string]>(
    `SELECT id, name FROM ${table} ${only}ORDER BY id`,
    values,
  );
  const places = new Int32Array((rows.at(-1)?.[0] ?? -1) + 1).fill(-1);
  rows.forEach(([id], place) => {
    places[id] = place;
  });
  return { ids: rows.map(([id]) => id), names: rows.map(([, name]) => name), places };
}
