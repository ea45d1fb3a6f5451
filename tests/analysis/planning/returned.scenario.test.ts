import assert from "node:assert/strict";
import { beforeAll, describe, it } from "vitest";
import { fitFleet } from "../../../analysis/drift/fit-fleet.ts";
import { type ReturnedUnit, returnedUnits } from "../../../analysis/planning/returned.ts";
import { areaUnderRoc } from "../../../analysis/scores.ts";
import { simulateFleet, USUAL_LAWS } from "../../simulation/simulated-fleet.ts";

describe("what came back from a simulated fleet's services", () => {
  const { fleet } = simulateFleet({ ...USUAL_LAWS, units: 70, sites: 3, checkDays: [14, 30] }, 41);
  let returned: readonly ReturnedUnit[];
  beforeAll(() => {
    returned = returnedUnits(fleet, fitFleet(fleet), fleet.asOfDay - 700, 500);
  });

  it("lists every service of the time once, the latest first, with what it found and left", () => {
    assert.ok(returned.length > 60, `${returned.length}`);
    for (const [i, unit] of returned.entries()) {
      if (i > 0) assert.ok(unit.servicedDay <= returned[i - 1]!.servicedDay);
      assert.equal(unit.wasSound, unit.asFound <= 1);
      // Each of these services adjusts, and is followed by an as-left check.
      assert.ok(unit.asLeft !== null && unit.asLeft < 1);
    }
    assert.ok(returnedUnits(fleet, fitFleet(fleet), fleet.asOfDay - 700, 5).length === 5);
  });

  it("had been forecast, without a look at the finding", () => {
    const judged = returned.filter(({ forecast }) => forecast !== null);
    assert.ok(judged.length > 0.9 * returned.length);
    const area = areaUnderRoc(
      judged.map(({ forecast }) => forecast!),
      judged.map(({ wasSound }) => !wasSound),
    );
    assert.ok(area !== null && area > 0.85, `${area}`);
  });
});
