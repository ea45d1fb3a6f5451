import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { HttpError } from "../../../dashboard/errors.ts";
import {
  questionsOf,
  readReturnsQuery,
  returnsAddress,
} from "../../../dashboard/page-models/returns-query.ts";

const FULL = {
  capacity: "12",
  spare: "2",
  target: "97.5",
  closed: "2026-W52, 2027-W01=2",
  fix: ["U-1@2026-W20", "U-2@2026-W21", "U-1@2026-W22"],
  against: ["15,,", ",3,99"],
  unit: "U-3",
  weeks: "all",
};

describe("the address of a return plan", () => {
  it("says all that is asked, and is read back the same", () => {
    const query = readReturnsQuery(FULL);
    const address = new URL(returnsAddress(query), "http://here");
    const back = Object.fromEntries(
      [...new Set(address.searchParams.keys())].map((key) => [key, address.searchParams.getAll(key)]),
    );
    assert.deepEqual(readReturnsQuery(back), query);
    assert.equal(returnsAddress(readReturnsQuery({})), "/returns");
  });

  it("keeps a unit that was moved twice where it was moved last", () => {
    assert.deepEqual(readReturnsQuery(FULL).fixed, [
      { instrument: "U-1", week: "2026-W22" },
      { instrument: "U-2", week: "2026-W21" },
    ]);
  });

  it("asks for the plan, for it without moves by hand, and for each plan beside it", () => {
    const [plan, free, wider, stricter] = questionsOf(readReturnsQuery(FULL));
    assert.equal(plan!.fixed.size, 2);
    assert.equal(free!.fixed.size, 0);
    assert.deepEqual(plan!.otherWeeks, { "2026-W52": 0, "2027-W01": 2 });
    assert.deepEqual([wider!.capacityPerWeek, wider!.sparePerSite, wider!.reliabilityTarget], [15, 2, 0.975]);
    // What a variation leaves open is as in the plan.
    assert.deepEqual([stricter!.capacityPerWeek, stricter!.sparePerSite], [12, 3]);
    assert.ok(Math.abs(stricter!.reliabilityTarget! - 0.99) < 1e-12);
  });

  it("refuses what cannot be, and says what can", () => {
    for (const [query, way] of [
      [{ capacity: "-1" }, /whole number/],
      [{ target: "40" }, /percentage above 50/],
      [{ closed: "2026-W60" }, /weeks like 2026-W14/],
      [{ closed: "2026-W20=many" }, /2026-W14=2/],
      [{ fix: "U-1" }, /U-1@2026-W20/],
    ] as const) {
      assert.throws(
        () => readReturnsQuery(query),
        (error) => error instanceof HttpError && error.status === 400 && way.test(error.wayOut),
      );
    }
  });
});
