import { setTimeout as wait } from "node:timers/promises";
import type { PgBoss } from "pg-boss";
import { CommandError } from "../commands/errors.ts";

const LOOK_EVERY_MS = 250;

/** What a job gives, waited for until it is done. @throws {CommandError} where it was given up, or is not there. */
export async function outputOf<T>(queue: PgBoss, name: string, id: string): Promise<T> {
  for (;;) {
    // While the database is down there is nothing to be seen; the queue itself tells of it.
    const [job] = await queue.findJobs(name, { id }).catch(() => [null]);
    if (job === undefined) throw new CommandError(`The job ${id} is not there any more: send it again.`);
    if (job?.state === "completed") return job.output as T;
    if (job?.state === "failed" || job?.state === "cancelled") {
      throw new CommandError(`The job ${id} was given up: ${JSON.stringify(job.output)}`);
    }
    await wait(LOOK_EVERY_MS);
  }
}
