import { mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { TEST_RUN } from "./postgres-cluster.ts";
import { type ReferenceRow, ROWS_FOLDER, referenceTable } from "./reference-table.ts";
import { CLUSTER_FOLDER, removeSharedCluster } from "./shared-cluster.ts";

/**
 * Gives the reference tests a folder for their rows, and prints them as one table when all tests have run; gives those
 * that need a PostgreSQL a place to find it, and removes it.
 */
export default function setUp(): () => Promise<void> {
  const folder = mkdtempSync(join(tmpdir(), "springtide-reference-"));
  const clusterFolder = mkdtempSync(join(tmpdir(), "springtide-cluster-"));
  process.env[ROWS_FOLDER] = folder;
  process.env[CLUSTER_FOLDER] = clusterFolder;
  process.env[TEST_RUN] = String(process.pid);
  return async () => {
    await removeSharedCluster(clusterFolder);
    rmSync(clusterFolder, { recursive: true });
    const rows = readdirSync(folder)
      .flatMap((file) => readFileSync(join(folder, file), "utf8").trim().split("\n"))
      .map((line): ReferenceRow => JSON.parse(line));
    rmSync(folder, { recursive: true });
    if (rows.length > 0) process.stdout.write(`\n${referenceTable(rows)}\n`);
  };
}
