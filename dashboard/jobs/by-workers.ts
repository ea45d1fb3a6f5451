import type { PgBoss } from "pg-boss";
import type { IngestReport, Store } from "../../ingest/index.ts";
import type { FleetRun } from "../assessment/assess-store.ts";
import { assessByJobs } from "./fleet-job.ts";
import { packFiles } from "./intake-job.ts";
import { outputOf } from "./outputs.ts";
import { INTAKE, openQueue } from "./queue.ts";

/** Has files taken in by whichever worker comes to it, and waits for its report. */
export async function ingestByWorkers(
  store: Store,
  paths: readonly string[],
  profile: string | undefined,
): Promise<IngestReport> {
  const order = await packFiles(paths, profile);
  return withQueue(store, async (queue) => {
    const id = await queue.send(INTAKE, order);
    return outputOf<IngestReport>(queue, INTAKE, id!);
  });
}

/** Has a fleet assessed by all workers together, and waits for the last of them. */
export function assessByWorkers(store: Store, asOf: string, mode: "kept" | "anew"): Promise<FleetRun> {
  return withQueue(store, (queue) => assessByJobs(queue, store, { asOf, mode }));
}

async function withQueue<T>(store: Store, use: (queue: PgBoss) => Promise<T>): Promise<T> {
  // Whoever waits goes on waiting while the database is down: what was sent is not lost.
  const queue = await openQueue(store, () => undefined);
  try {
    return await use(queue);
  } finally {
    await queue.stop({ graceful: true });
  }
}
