import { setTimeout as wait } from "node:timers/promises";
import type { PgBoss } from "pg-boss";
import { CommandError } from "../commands/errors.ts";

const LOOK_EVERY_MS = 250;

/**
 * Sends a job under a number of one's own; where there is one of this number already, that one stands.
 *
 * @remarks
 * While the database is down it is sent again and again: the same number twice is one job.
 */
export async function sendOnce(
  queue: PgBoss,
  name: string,
  id: string,
  data: object,
  signal?: AbortSignal,
): Promise<void> {
  for (;;) {
    try {
      await queue.send(name, data, { id });
      return;
    } catch (error) {
      if (!isAway(error)) throw error;
      await wait(LOOK_EVERY_MS, undefined, { signal });
    }
  }
}

/** Whether it is the database that does not answer, and not something that it says about the job. */
function isAway(error: unknown): boolean {
  const says = error instanceof Error && "code" in error ? String(error.code) : "";
  // Classes 08, 53 and 57 of PostgreSQL's error codes: connection, resources, somebody's stop.
  return !/^(?=.*\d)[0-9A-Z]{5}$/.test(says) || /^(08|53|57)/.test(says);
}

/**
 * What a job gives, waited for until it is done.
 *
 * @param signal Ends the waiting, not the job.
 * @throws {CommandError} where it was given up, or is not there.
 */
export async function outputOf<T>(queue: PgBoss, name: string, id: string, signal?: AbortSignal): Promise<T> {
  for (;;) {
    // While the database is down there is nothing to be seen; the queue itself tells of it.
    const [job] = await queue.findJobs(name, { id }).catch(() => [null]);
    if (job === undefined) throw new CommandError(`The job ${id} is not there any more: send it again.`);
    if (job?.state === "completed") return job.output as T;
    if (job?.state === "failed" || job?.state === "cancelled") {
      throw new CommandError(`The job ${id} was given up: ${JSON.stringify(job.output)}`);
    }
    await wait(LOOK_EVERY_MS, undefined, { signal });
  }
}
