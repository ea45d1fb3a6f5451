import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { assessFleet, fitFleet } from "../../../analysis/index.ts";
import { assessOnThreads } from "../../../dashboard/assessment/assess-on-threads.ts";
import { FleetThreads } from "../../../dashboard/assessment/fleet-threads.ts";
import { simulateFleet, USUAL_LAWS } from "../../simulation/simulated-fleet.ts";

describe("assessOnThreads", () => {
  const { fleet } = simulateFleet({ ...USUAL_LAWS, units: 40, sites: 2, checkDays: [30] }, 5);
  const figures = fitFleet(fleet);
  const alone = assessFleet(fleet, figures);

  for (const threads of [1, 2, 3]) {
    it(`gives to the last digit what one thread alone gives, on ${threads}`, async () => {
      const these = new FleetThreads(threads, 1);
      try {
        assert.deepEqual(await assessOnThreads(fleet, figures, these), alone);
        assert.deepEqual(
          await assessOnThreads(fleet, figures, these),
          alone,
          "and again, on the same threads",
        );
      } finally {
        await these.end();
      }
    });
  }

  it("has nothing to share out of an empty fleet", async () => {
    const empty = { ...fleet, units: [] };
    assert.deepEqual((await assessOnThreads(empty, figures)).units, []);
  });
});
