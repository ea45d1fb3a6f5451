import { DuckDBInstance } from "@duckdb/node-api";

/**
 * Time in which an analytical engine reads a CSV file into a table of its own on disk, and nothing else.
 *
 * @returns Unit: s.
 */
export async function engineRead(csvFile: string, databaseFile: string): Promise<number> {
  const engine = await DuckDBInstance.create(databaseFile);
  const connection = await engine.connect();
  const start = performance.now();
  await connection.run("CREATE TABLE reading AS SELECT * FROM read_csv($1)", [csvFile]);
  await connection.run("CHECKPOINT");
  const seconds = (performance.now() - start) / 1000;
  connection.closeSync();
  engine.closeSync();
  return seconds;
}
