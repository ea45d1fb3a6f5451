import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { fitFleet } from "../../../analysis/index.ts";
import { FleetThreads } from "../../../dashboard/assessment/fleet-threads.ts";
import { learnOnThreads } from "../../../dashboard/assessment/learn-on-threads.ts";
import { simulateFleet, USUAL_LAWS } from "../../simulation/simulated-fleet.ts";

async function withThreads<T>(count: number, work: (threads: FleetThreads) => Promise<T>): Promise<T> {
  const threads = new FleetThreads(count, 1);
  try {
    return await work(threads);
  } finally {
    await threads.end();
  }
}

describe("learnOnThreads", () => {
  // Sites of more units than one part holds.
  const { fleet } = simulateFleet({ ...USUAL_LAWS, units: 90, sites: 2, checkDays: [60] }, 5);
  const alone = fitFleet(fleet);

  for (const threads of [1, 2, 3]) {
    it(`learns to the last digit what one thread alone learns, on ${threads}`, async () => {
      assert.deepEqual(await withThreads(threads, (these) => learnOnThreads(fleet, these)), alone);
    });
  }

  it("learns nothing but what was known before from an empty fleet", async () => {
    const empty = { ...fleet, units: [] };
    assert.deepEqual(await learnOnThreads(empty), fitFleet(empty));
  });

  it("gives a thread's error as its own", async () => {
    const broken = { ...fleet, units: fleet.units.map((unit) => ({ ...unit, services: null as never })) };
    await assert.rejects(
      withThreads(2, (these) => learnOnThreads(broken, these)),
      TypeError,
    );
  });
});
