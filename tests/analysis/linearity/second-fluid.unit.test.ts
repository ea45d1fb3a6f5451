import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { secondFluidTest } from "../../../analysis/linearity/second-fluid.ts";
import { seededRandom } from "../../support/random.ts";

const TORQUES = [20, 50, 85];

/** Five checks with each lot at the same torques; `bend` by lot, speed at full scale by lot. */
function readings(bends: Readonly<Record<string, number>>, speeds: Readonly<Record<string, number>>) {
  const random = seededRandom(2);
  const rows = Object.keys(bends).flatMap((lot, l) =>
    Array.from({ length: 5 }, (_, k) =>
      TORQUES.map((torque) => {
        const x = torque / 100;
        return {
          lot,
          check: l * 5 + k,
          torque,
          error: bends[lot]! * 4 * (x - x * x) + 0.1 * random.normal(),
          speed: (speeds[lot]! * torque) / 100,
        };
      }),
    ).flat(),
  );
  return {
    check: rows.map((r) => r.check),
    torque: rows.map((r) => r.torque),
    error: rows.map((r) => r.error),
    fluidLot: rows.map((r) => r.lot),
    speedRpm: rows.map((r) => r.speed),
  };
}

describe("secondFluidTest", () => {
  it("calls it the same where both fluids bend alike at other speeds", () => {
    const test = secondFluidTest(readings({ A: 1, B: 1 }, { A: 60, B: 120 }));
    assert.equal(test?.outcome, "same");
    assert.deepEqual(test?.lots, ["A", "B"]);
    assert.ok(test!.bends.every(({ value }) => value > 0.2));
  });

  it("calls it different where the bend goes with the speed", () => {
    assert.equal(secondFluidTest(readings({ A: 1, B: 0 }, { A: 60, B: 120 }))?.outcome, "differs");
  });

  it("decides nothing where neither bends", () => {
    assert.equal(secondFluidTest(readings({ A: 0, B: 0 }, { A: 60, B: 120 }))?.outcome, "undecided");
  });

  it("is no test with one fluid, or with two at the same speeds", () => {
    assert.equal(secondFluidTest(readings({ A: 1 }, { A: 60 })), null);
    assert.equal(secondFluidTest(readings({ A: 1, B: 1 }, { A: 60, B: 66 })), null);
  });
});
