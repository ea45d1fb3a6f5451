import type { DatabaseSync } from "node:sqlite";
import { Worker } from "node:worker_threads";
import { chosenInstruments } from "../chosen-instruments.ts";
import { type Columns, emptyColumns } from "../empty-columns.ts";
import type { ReadingColumns, ReadingFilter } from "../store.ts";
import type { NameTable } from "../tables.ts";
import { type Filled, fillColumns, revisionOf, type Wanted } from "./fill-columns.ts";
import type { FillAnswer, FillOrder } from "./fill-worker.ts";

/** From so many readings on a second thread reads half of them: it takes a tenth of a second to start. */
const WORTH_A_THREAD = 200_000;

/**
 * All readings that a filter leaves, as columns.
 *
 * @remarks
 * Room is made for all readings of the instruments, and what the filter leaves of it is cut off. Names and readings
 * are seen in one read transaction, or, by two threads, at one revision of the store.
 *
 * @param worthAThread So many readings are shared with a second thread.
 */
export async function readColumns(
  raw: DatabaseSync,
  filter: ReadingFilter,
  worthAThread = WORTH_A_THREAD,
): Promise<ReadingColumns> {
  const begun = beginReading(raw, filter, worthAThread);
  if (begun.elsewhere === null) return begun.columns(null);
  const answer = await begun.elsewhere;
  if (answer.revision === begun.revision) return begun.columns(answer);
  // A file came in between: both halves are read at one moment.
  return readColumns(raw, filter, Number.POSITIVE_INFINITY);
}

/** Reads what is for this thread, without a pause: the connection serves others in the meantime. */
function beginReading(raw: DatabaseSync, filter: ReadingFilter, worthAThread: number) {
  raw.exec("BEGIN");
  try {
    const chosen = chosenInstruments(filter);
    const instrument = readNames(raw, "instrument", chosen);
    const fluidLot = readNames(raw, "fluid_lot");
    const geometry = readNames(raw, "geometry");
    const site = readNames(raw, "site");
    const operator = readNames(raw, "operator");
    const names = {
      instruments: instrument.names,
      fluidLots: fluidLot.names,
      geometries: geometry.names,
      sites: site.names,
      operators: operator.names,
    };
    const places = {
      fluidLot: fluidLot.places,
      geometry: geometry.places,
      site: site.places,
      operator: operator.places,
    };
    const untilMs = filter.untilMs ?? Number.MAX_SAFE_INTEGER;
    const wanted = instrument.ids.map((id, place) => ({ id, place }));
    const room = chosen === null ? countAll(raw) : countOf(raw, wanted);
    const file = raw.location();
    const isShared = file !== null && room >= worthAThread && wanted.length > 1;
    const columns = emptyColumns(room, isShared);
    const half = isShared ? wanted.slice(0, wanted.length >> 1) : wanted;
    const from = isShared ? countOf(raw, half) : 0;
    const elsewhere = isShared
      ? inThread({ file, columns, places, wanted: { instruments: wanted.slice(half.length), untilMs }, from })
      : null;
    const filled = fillColumns(raw, columns, places, { instruments: half, untilMs }, 0);
    return {
      revision: revisionOf(raw),
      elsewhere,
      columns: (other: Filled | null): ReadingColumns => ({ ...joined(columns, filled, other, from), names }),
    };
  } finally {
    raw.exec("COMMIT");
  }
}

function inThread(order: FillOrder): Promise<FillAnswer> {
  return new Promise((resolve, reject) => {
    const worker = new Worker(new URL("./fill-worker.ts", import.meta.url), { workerData: order });
    worker.once("message", resolve);
    worker.once("error", reject);
  });
}

/** Both parts as one: the second moved up to the first, its checks numbered on. */
function joined(columns: Columns, first: Filled, second: Filled | null, from: number) {
  const rows = second === null ? 0 : second.rows;
  for (let i = from; i < from + rows; i++) columns.check[i]! += first.checks;
  const count = first.rows + rows;
  const cut = Object.entries(columns).map(([name, column]) => {
    if (first.rows < from) column.copyWithin(first.rows, from, from + rows);
    return [name, column.subarray(0, count)];
  });
  return { count, ...(Object.fromEntries(cut) as Columns) };
}

function countAll(raw: DatabaseSync): number {
  return Number(raw.prepare("SELECT count(*) AS n FROM reading").get()?.n);
}

/** How many readings some instruments have. */
function countOf(raw: DatabaseSync, instruments: Wanted["instruments"]): number {
  const count = raw.prepare(
    "SELECT count(*) AS n FROM reading WHERE instrument_id IN (SELECT value FROM json_each(?))",
  );
  return Number(count.get(JSON.stringify(instruments.map(({ id }) => id)))?.n);
}

/** The names of one table, or some of them, in the order of their numbers, and from a number to its place in that order. */
function readNames(raw: DatabaseSync, table: NameTable, chosen: ReadonlySet<string> | null = null) {
  const rows =
    chosen === null
      ? raw.prepare(`SELECT id, name FROM ${table} ORDER BY id`).all()
      : raw
          .prepare(`SELECT id, name FROM ${table} WHERE name IN (SELECT value FROM json_each(?)) ORDER BY id`)
          .all(JSON.stringify([...chosen]));
  const ids = rows.map((row) => Number(row.id));
  const places = new Int32Array((ids.at(-1) ?? -1) + 1).fill(-1);
  ids.forEach((id, place) => {
    places[id] = place;
  });
  return { ids, names: rows.map((row) => String(row.name)), places };
}
