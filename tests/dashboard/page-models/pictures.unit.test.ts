import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { fleetPicture } from "../../../dashboard/page-models/fleet-picture.ts";
import { lanesOf } from "../../../dashboard/page-models/lanes.ts";
import { livesOf } from "../../../dashboard/page-models/lives.ts";
import { fixtureAssessment } from "../support/fixture-fleet.ts";

const SEVERITY = ["steady", "leaning", "heading-out", "out"];

describe("the picture of the fleet", () => {
  it("places every judged unit once, as a stroke or in a heap", async () => {
    for (const size of [200, 3000]) {
      const { assessment } = await fixtureAssessment(size).current();
      const { strokes, heaps, notPlaced } = fleetPicture(assessment);
      const heaped = heaps.reduce((sum, heap) => sum + heap.units, 0);
      assert.equal(strokes.length + heaped + notPlaced, size);
      assert.equal(heaps.length > 0, size === 3000);
      // What is drawn one by one is what is likeliest to leave tolerance.
      const least = Math.min(
        ...strokes.filter(({ state }) => state !== "steady").map(({ chance }) => chance),
      );
      const beyond = assessment.units.filter(({ pOutBeforeService: p }) => p !== null && p > least);
      assert.ok(beyond.every(({ instrument }) => strokes.some((stroke) => stroke.instrument === instrument)));
    }
  });

  it("stands overdue services side by side before today, and a far one at the end", async () => {
    const { assessment } = await fixtureAssessment(3).current();
    const { asOfDay } = assessment;
    const due = [asOfDay - 40, asOfDay + 4000, asOfDay - 400];
    const units = assessment.units.map((unit, i) => ({ ...unit, nextServiceDueDay: due[i]! }));
    const picture = fleetPicture({ ...assessment, units });
    const placeOf = (dueDay: number): number =>
      picture.strokes.find((stroke) => stroke.dueDay === dueDay)!.placeDay;
    assert.equal(picture.pastDue, 2);
    assert.ok(picture.fromDay < placeOf(due[2]!));
    assert.ok(placeOf(due[2]!) < placeOf(due[0]!));
    assert.ok(placeOf(due[0]!) < asOfDay);
    assert.equal(placeOf(due[1]!), picture.toDay);
  });

  it("draws what matters last, so that it lies on top", async () => {
    const { assessment } = await fixtureAssessment(200).current();
    const order = fleetPicture(assessment).strokes.map((stroke) => SEVERITY.indexOf(stroke.state));
    assert.deepEqual(order, [...order].sort());
  });
});

describe("the lanes of a unit", () => {
  it("give the named band the unit's state, and no band a worse one", async () => {
    const { assessment } = await fixtureAssessment(200).current();
    for (const unit of assessment.units) {
      for (const lane of lanesOf(unit) ?? []) {
        assert.ok(SEVERITY.indexOf(lane.state) <= SEVERITY.indexOf(unit.state));
        if (lane.band === unit.band) assert.equal(lane.state, unit.state);
      }
    }
  });

  it("are not there for a unit that cannot be judged", async () => {
    const { assessment } = await fixtureAssessment(200).current();
    assert.equal(lanesOf(assessment.units.find((unit) => unit.state === "unjudged")!), null);
  });
});

describe("the lives of a unit", () => {
  it("hold every reading of a band once, with the present life apart", async () => {
    const view = (await fixtureAssessment(40).unit("V-0029"))!;
    const lives = livesOf(view);
    const points = lives.bands.flatMap((band) => band.points);
    assert.equal(points.length, view.readings.length);
    const gate = lives.gates.at(-1)!;
    for (const point of points) assert.equal(point.presentLife, point.day >= gate.day);
  });

  it("follow the lots through the cup without a gap or a turn", async () => {
    const { lots } = livesOf((await fixtureAssessment(40).unit("V-0029"))!);
    assert.deepEqual(
      lots.map((spell) => spell.fluidLot),
      [...new Set(lots.map((spell) => spell.fluidLot))],
    );
    for (const [i, spell] of lots.entries()) {
      if (i > 0) assert.ok(spell.fromDay > lots[i - 1]!.toDay);
    }
  });

  it("keep one wild reading from flattening the rest", async () => {
    const view = (await fixtureAssessment(40).unit("V-0029"))!;
    const [first, ...rest] = view.readings;
    const wild = { ...first!, errorOverTolerance: 40, errorWithoutSharedCauses: 40 * first!.tolerance };
    assert.equal(livesOf({ ...view, readings: [wild, ...rest] }).reach, 3);
  });

  it("put an as-found check on the day of a service into the life that ends", async () => {
    const view = (await fixtureAssessment(40).unit("V-0029"))!;
    const gate = livesOf(view).gates.at(-1)!;
    const found = { ...view.readings[0]!, day: gate.day + 0.4, stage: "as_found" } as const;
    const left = { ...found, day: gate.day + 0.6, stage: "as_left" } as const;
    const points = livesOf({ ...view, readings: [found, left] }).bands.flatMap((band) => band.points);
    assert.deepEqual(
      points.map((point) => point.presentLife),
      [false, true],
    );
  });
});
