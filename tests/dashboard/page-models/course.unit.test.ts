import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { monthEndsBefore } from "../../../dashboard/assessment/fleet-course.ts";
import { courseRows } from "../../../dashboard/page-models/course.ts";
import { fixtureAssessment } from "../support/fixture-fleet.ts";

describe("the months looked back at", () => {
  it("are the last days of the twelve before the one that the day is in", () => {
    const ends = monthEndsBefore("2024-03-15");
    assert.equal(ends.length, 12);
    assert.deepEqual([ends[0], ends[10], ends[11]], ["2023-03-31", "2024-01-31", "2024-02-29"]);
    // The last day of a month is not behind it yet.
    assert.equal(monthEndsBefore("2026-03-31").at(-1), "2026-02-28");
  });
});

describe("the fleet's course", () => {
  it("holds what a month's forecasts said against what later months showed, up to the service of then", async () => {
    const fleet = await fixtureAssessment(30).current();
    const day = (iso: string) => Date.parse(iso) / 86_400_000;
    const unit = (
      instrument: string,
      state: "out" | "steady" | "heading-out",
      chance: number,
      due: string,
    ) => ({
      instrument,
      state,
      chance,
      dueDay: day(due),
    });
    const rows = courseRows(
      [
        {
          asOf: "2025-12-31",
          units: [
            unit("A", "heading-out", 0.75, "2026-02-28"),
            unit("B", "heading-out", 0.5, "2026-01-15"),
            unit("C", "out", 0.99, "2026-02-28"),
            unit("D", "steady", 0.01, "2027-01-01"),
          ],
        },
        {
          asOf: "2026-02-28",
          units: [
            unit("A", "out", 0.99, "2026-02-28"),
            unit("B", "out", 0.99, "2027-02-28"),
            unit("C", "steady", 0.01, "2027-02-28"),
            unit("D", "steady", 0.01, "2027-01-01"),
          ],
        },
      ],
      fleet,
    );
    const [first] = rows;
    // A went out in time; B only after the service that the forecast was about; C was out already.
    assert.equal(first!.came, 1);
    assert.ok(Math.abs(first!.said - 1.26) < 1e-12);
    assert.equal(first!.open, 1, "D's service is still to come");
    assert.deepEqual(first!.states, { out: 1, "heading-out": 2, leaning: 0, steady: 1, unjudged: 0 });
    assert.equal(rows.length, 3);
    assert.equal(rows[2]!.units, 30, "today is the last");
    assert.equal(rows[2]!.came, 0);
  });
});
