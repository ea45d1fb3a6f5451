import type { Job, PgBoss } from "pg-boss";
import type { Store } from "../../ingest/index.ts";
import { forecastPart, learnFleet } from "./fleet-job.ts";
import { Holds } from "./holds.ts";
import { takeInOrder } from "./intake-job.ts";
import { FLEET, INTAKE, openQueue, UNITS } from "./queue.ts";

const LOOK_EVERY_S = 0.5;
const LOOK_FOR_LOST_EVERY_MS = 1000;

export interface WorkerParts {
  readonly store: Store;
  readonly now: () => number;
  /** Told what was done, and what failed and is tried again; one line. */
  readonly say: (line: string) => void;
}

/** Takes jobs as they come, one at a time of each kind, until it is stopped. */
export async function startWork({ store, now, say }: WorkerParts): Promise<{ stop(): Promise<void> }> {
  const queue = await openQueue(store, (error) => say(`the job queue does not answer: ${oneLine(error)}`));
  const holds = new Holds(store.location);
  const take = (name: string, work: (data: never) => Promise<object>) =>
    queue.work(name, { pollingIntervalSeconds: LOOK_EVERY_S, batchSize: 1 }, async ([job]: Job[]) => {
      const { id, data } = job!;
      const begunAt = performance.now();
      try {
        const answer = await holds.during(id, async () => {
          const given = await work(data as never);
          await queue.complete(name, id, given);
          return given;
        });
        say(`${name} ${id}: done in ${((performance.now() - begunAt) / 1000).toFixed(1)} s`);
        return answer;
      } catch (error) {
        say(`${name} ${id}: not done and given back: ${oneLine(error)}`);
        throw error;
      }
    });
  await take(INTAKE, (data) => takeInOrder(store, data, now));
  await take(FLEET, (data) => learnFleet(store, data));
  await take(UNITS, (data) => forecastPart(store, queue, data));
  const lookout = setInterval(() => lookForLost(queue, holds, say), LOOK_FOR_LOST_EVERY_MS);
  return {
    stop: async () => {
      clearInterval(lookout);
      await queue.stop({ graceful: true });
      await holds.close();
    },
  };
}

function lookForLost(queue: PgBoss, holds: Holds, say: (line: string) => void): void {
  holds.giveBackLost(queue).then(
    (lost) => {
      if (lost > 0)
        say(`${lost} ${lost === 1 ? "job whose worker was" : "jobs whose workers were"} lost: given back`);
    },
    // A database that is down is told of by the queue.
    () => undefined,
  );
}

function oneLine(error: unknown): string {
  return (error instanceof Error ? error.message : String(error)).replace(/\s+/g, " ");
}
