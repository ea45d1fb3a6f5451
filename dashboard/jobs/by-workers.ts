import type { PgBoss } from "pg-boss";
import type { IngestReport, Store } from "../../ingest/index.ts";
import type { FleetRun } from "../assessment/assess-store.ts";
import type { FleetLook } from "../assessment/assessment.ts";
import type { TakeIn } from "../intake/desk.ts";
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

/** The workers of a store, for a server that leaves the long work to them. */
export interface Crew {
  readonly lookAtFleet: FleetLook;
  readonly takeIn: TakeIn;
  close(): Promise<void>;
}

/**
 * @param report Is told of every failure of the queue; it goes on by itself.
 * @throws {CommandError} where the store is a file.
 */
export async function openCrew(store: Store, report: (error: Error) => void): Promise<Crew> {
  const queue = await openQueue(store, report);
  const closing = new AbortController();
  const { signal } = closing;
  return {
    lookAtFleet: (asOf, before, heed) => {
      heed("learning");
      return assessByJobs(queue, store, { asOf, mode: "kept" }, { before, signal });
    },
    takeIn: async (folder, _paths, nameOf) => {
      const id = await queue.send(INTAKE, await packFiles([folder], undefined, nameOf));
      return outputOf<IngestReport>(queue, INTAKE, id!, signal);
    },
    close: () => {
      closing.abort();
      return queue.stop({ graceful: true });
    },
  };
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
