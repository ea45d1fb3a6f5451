import assert from "node:assert/strict";
import ICAL from "ical.js";
import { beforeAll, describe, it } from "vitest";
import { isoOfDay } from "../../../dashboard/assessment/days.ts";
import type { ReturnsPlan } from "../../../dashboard/assessment/plan-returns.ts";
import { questionsOf, readReturnsQuery } from "../../../dashboard/page-models/returns-query.ts";
import { bookingCalendar, shipments } from "../../../dashboard/tables/booking-calendar.ts";
import { fixtureAssessment } from "../support/fixture-fleet.ts";

const STAMP = Date.parse("2026-03-31T12:00:00Z");

/** Read by a library that the program itself does not use. */
describe("the calendar of returns (RFC 5545)", () => {
  let plan: ReturnsPlan;
  let text: string;
  let events: ICAL.Event[];
  beforeAll(async () => {
    const view = await fixtureAssessment(40).returns(questionsOf(readReturnsQuery({ capacity: "3" })));
    plan = view.plans[0]!;
    text = bookingCalendar(plan, STAMP);
    const calendar = new ICAL.Component(ICAL.parse(text));
    events = calendar.getAllSubcomponents("vevent").map((component) => new ICAL.Event(component));
  });

  it("has one whole-day event for each shipment, on the day on which it leaves", () => {
    const boxes = shipments(plan);
    assert.equal(events.length, boxes.length);
    for (const [i, units] of boxes.entries()) {
      const event = events[i]!;
      assert.equal(event.startDate.isDate, true);
      assert.equal(event.startDate.toString(), isoOfDay(plan.weeks[units[0]!.week!]!.firstDay));
      assert.equal(event.location, units[0]!.unit.site);
      for (const { unit } of units) {
        assert.ok(event.summary.includes(unit.instrument), event.summary);
        assert.ok(event.description.includes(`${unit.instrument}: `));
      }
    }
  });

  it("gives each event an identity of its own that stays when it is made again", () => {
    const ids = events.map((event) => event.uid);
    assert.equal(new Set(ids).size, ids.length);
    assert.equal(bookingCalendar(plan, STAMP), text);
  });

  it("keeps to lines of 75 octets that end with CR LF", () => {
    for (const line of text.split("\r\n")) assert.ok(Buffer.byteLength(line) <= 75, line);
    assert.doesNotMatch(text.replaceAll("\r\n", ""), /[\r\n]/);
  });

  it("carries names that mean something to the format as they are", () => {
    const odd = 'A;B, \\ "C"\nBEGIN:VEVENT';
    const named = {
      ...plan,
      units: plan.units.map((planned) => ({ ...planned, unit: { ...planned.unit, site: odd } })),
    };
    const calendar = new ICAL.Component(ICAL.parse(bookingCalendar(named, STAMP)));
    const first = new ICAL.Event(calendar.getAllSubcomponents("vevent")[0]!);
    assert.equal(first.location, odd);
    assert.equal(calendar.getAllSubcomponents("vevent").length, shipments(named).length);
  });
});
