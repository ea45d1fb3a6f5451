import { DatabaseSync } from "node:sqlite";
import { parentPort, workerData } from "node:worker_threads";
import type { Columns } from "../empty-columns.ts";
import { type Filled, fillColumns, type Places, revisionOf, type Wanted } from "./fill-columns.ts";

/** A part of the readings for another thread to read, into memory that both share. */
export interface FillOrder {
  readonly file: string;
  readonly columns: Columns;
  readonly places: Places;
  readonly wanted: Wanted;
  readonly from: number;
}

/** What was filled in, and the store's revision at which it was. */
export interface FillAnswer extends Filled {
  readonly revision: number;
}

const { file, columns, places, wanted, from } = workerData as FillOrder;
const raw = new DatabaseSync(file, { readOnly: true, timeout: 5000 });
raw.exec("BEGIN");
const revision = revisionOf(raw);
const filled = fillColumns(raw, columns, places, wanted, from);
raw.close();
parentPort?.postMessage({ ...filled, revision } satisfies FillAnswer);
