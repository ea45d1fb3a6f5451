import { PgBoss } from "pg-boss";
import type { Store } from "../../ingest/index.ts";
import { CommandError } from "../commands/errors.ts";

/** Files to be taken in: one job at a time, in the order in which they were sent, as a store is written by one at a time. */
export const INTAKE = "intake";
/** What a whole fleet shares: learnt from all its readings at once. */
export const FLEET = "fleet";
/** Forecasts of some units, once the fleet's figures are there. */
export const UNITS = "units";

export const QUEUES = [INTAKE, FLEET, UNITS] as const;

/** A worker lost with its job is noticed by the others; this is for one whose connection seems to live on. Unit: s. */
const LONGEST_JOB_S = 3600;

/** So often a job may be lost or fail before it is given up. */
const TRIES = 50;

/** Finished jobs and what they gave are kept for so long. Unit: s. */
const KEPT_S = 86_400;

/**
 * Opens the job queue that lives in a store's own database, in a schema beside the store's tables.
 *
 * @param report Is told of every failure of the queue itself, such as a database that does not answer; it goes on by itself.
 * @throws {CommandError} where the store is a file: it has no queue.
 */
export async function openQueue(store: Store, report: (error: Error) => void): Promise<PgBoss> {
  if (!store.location.startsWith("postgres")) {
    throw new CommandError(
      `Work is shared out only over a store in PostgreSQL, and ${store.shown} is a file: name one with --store postgres://…`,
    );
  }
  const queue = new PgBoss({
    connectionString: store.location,
    application_name: "springtide jobs",
    schedule: false,
    max: 4,
  });
  queue.on("error", report);
  await queue.start();
  for (const name of QUEUES) {
    await queue.createQueue(name, {
      policy: name === INTAKE ? "singleton" : "standard",
      retryLimit: TRIES,
      retryDelay: 0,
      expireInSeconds: LONGEST_JOB_S,
      deleteAfterSeconds: KEPT_S,
    });
  }
  return queue;
}
