import { statSync } from "node:fs";
import { ingestPaths, openStore } from "../../ingest/index.ts";
import type { Place } from "./stages.ts";
import { timed } from "./timing.ts";

/** The floor: an analytical engine reads the file of readings into a table of its own on disk, and nothing else. */
export async function engine({ files, store }: Place) {
  const { DuckDBInstance } = await import("@duckdb/node-api");
  const instance = await DuckDBInstance.create(`${store}.engine`);
  const connection = await instance.connect();
  const { cost } = await timed(async () => {
    await connection.run("CREATE TABLE reading AS SELECT * FROM read_csv($1)", [`${files}/readings.csv`]);
    await connection.run("CHECKPOINT");
  });
  connection.closeSync();
  instance.closeSync();
  return cost;
}

/** Registers and readings from their files into a new store, closed again. */
export async function intake({ files, store }: Place) {
  const { cost, result } = await timed(async () => {
    const opened = await openStore(`sqlite:${store}`);
    const report = await ingestPaths(opened, [files], { now: Date.now });
    await opened.close();
    return report;
  });
  return {
    ...cost,
    rows: result.totals.rows,
    csvBytes: statSync(`${files}/readings.csv`).size,
    storeBytes: statSync(store).size,
  };
}
