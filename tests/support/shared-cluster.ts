import { existsSync, mkdirSync, readFileSync, renameSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { setTimeout as wait } from "node:timers/promises";
import { type Cluster, removeCluster, startCluster } from "./postgres-cluster.ts";

/** Names the folder in which the processes of one test run find their common cluster. */
export const CLUSTER_FOLDER = "SPRINGTIDE_TEST_CLUSTER";

/** Starts the cluster for whoever asks first; all others take the same. */
export async function sharedCluster(): Promise<Pick<Cluster, "port">> {
  const folder = process.env[CLUSTER_FOLDER]!;
  const ready = join(folder, "cluster.json");
  try {
    mkdirSync(join(folder, "starting"));
    const said = await startCluster().then(JSON.stringify, (error) =>
      JSON.stringify({ error: error.message }),
    );
    writeFileSync(`${ready}.new`, said);
    renameSync(`${ready}.new`, ready);
  } catch (error) {
    if (!(error instanceof Error && "code" in error && error.code === "EEXIST")) throw error;
  }
  while (!existsSync(ready)) await wait(50);
  const cluster = JSON.parse(readFileSync(ready, "utf8"));
  if (cluster.error !== undefined) throw new Error(cluster.error);
  return cluster;
}

/** Stops and removes the cluster of a test run, if any of its tests has started one. */
export async function removeSharedCluster(folder: string): Promise<void> {
  const ready = join(folder, "cluster.json");
  if (!existsSync(ready)) return;
  const cluster = JSON.parse(readFileSync(ready, "utf8"));
  if (cluster.error === undefined) await removeCluster(cluster);
}
