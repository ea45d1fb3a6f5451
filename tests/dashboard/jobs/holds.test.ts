import assert from "node:assert/strict";
import { randomUUID } from "node:crypto";
import { describe, it, onTestFinished } from "vitest";
import { Holds } from "../../../dashboard/jobs/holds.ts";
import { INTAKE, openQueue } from "../../../dashboard/jobs/queue.ts";
import { openStore } from "../../../ingest/index.ts";
import { scratchDatabase } from "../../support/scratch-database.ts";

async function twoWorkers() {
  const url = await scratchDatabase();
  const store = await openStore(url);
  const queue = await openQueue(store, () => undefined);
  const workers = [new Holds(url), new Holds(url)] as const;
  onTestFinished(async () => {
    for (const worker of workers) await worker.close();
    await queue.stop({ graceful: false });
    await store.close();
  });
  return { queue, workers };
}

describe("a job", () => {
  it("is done by one worker at a time", async () => {
    const { workers } = await twoWorkers();
    const [one, other] = workers;
    const job = randomUUID();
    await one.during(job, async () => {
      await assert.rejects(
        other.during(job, async () => assert.fail("two were at it")),
        /another worker is at this job/,
      );
    });
    assert.equal(await other.during(job, async () => "free again"), "free again");
  });

  it("is given back when its worker is gone, and not while somebody holds it", async () => {
    const { queue, workers } = await twoWorkers();
    const [one, other] = workers;
    await queue.send(INTAKE, {});
    const [job] = await queue.fetch(INTAKE);
    await one.during(job!.id, async () => {
      await new Promise((resolve) => setTimeout(resolve, 1100));
      assert.equal(await other.giveBackLost(queue), 0);
    });
    assert.equal(await other.giveBackLost(queue), 1);
    const [again] = await queue.fetch(INTAKE);
    assert.equal(again!.id, job!.id);
  });
});
