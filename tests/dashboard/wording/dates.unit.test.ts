import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { dayOfIso } from "../../../dashboard/assessment/days.ts";
import { date, dateInYear, distance, monthAndYear, monthStarts } from "../../../dashboard/wording/dates.ts";

describe("dates", () => {
  it("cannot be mistaken, and do not shift with the time zone", () => {
    const zone = process.env.TZ;
    for (const tz of ["UTC", "America/Los_Angeles", "Pacific/Auckland"]) {
      process.env.TZ = tz;
      assert.equal(date(dayOfIso("2026-08-02")), "2 Aug 2026");
      assert.equal(date(dayOfIso("2026-09-30") + 0.99), "30 Sep 2026");
    }
    process.env.TZ = zone;
  });

  it("shorten where the year is plain", () => {
    assert.equal(dateInYear(dayOfIso("2026-11-06")), "6 Nov");
    assert.equal(monthAndYear(dayOfIso("2026-11-06")), "Nov 2026");
  });

  it("say how far away a day is", () => {
    const today = dayOfIso("2026-03-31");
    assert.equal(distance(today + 0.9, today), "today");
    assert.equal(distance(today + 1, today), "in 1 day");
    assert.equal(distance(today - 13, today), "13 days ago");
    assert.equal(distance(today + 14, today), "in 2 weeks");
    assert.equal(distance(today + 220, today), "in 31 weeks");
  });

  it("list the months between two days, both ends counted", () => {
    const months = monthStarts(dayOfIso("2025-12-01"), dayOfIso("2026-02-01"));
    assert.deepEqual(
      months.map(({ day, month }) => [date(day), month]),
      [
        ["1 Dec 2025", 12],
        ["1 Jan 2026", 1],
        ["1 Feb 2026", 2],
      ],
    );
  });
});
