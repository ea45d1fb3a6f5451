import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { beyondCount, stripsOf } from "../../../dashboard/page-models/strips.ts";
import { fixtureAssessment } from "../support/fixture-fleet.ts";

const view = (await fixtureAssessment(30).unit("V-0029"))!;
const chart = view.watch.charts.find(({ quantity }) => quantity === "high")!;
const individuals = view.charts.find(({ quantity }) => quantity === "high")!;

describe("stripsOf", () => {
  it("counts the downward sum downwards, with the interval on both sides", () => {
    const sums = stripsOf(chart, individuals, []).find(({ kind }) => kind === "sums")!;
    assert.equal(sums.low, -chart.cusumInterval);
    assert.equal(sums.high, chart.cusumInterval);
    assert.deepEqual(
      sums.lines[1]!.map(({ value }) => value),
      chart.points.map(({ sumDown }) => -sumDown),
    );
  });

  it("leaves out single checks where there are no limits for them, and scatter where there is none", () => {
    assert.deepEqual(
      stripsOf(chart, null, []).map(({ kind }) => kind),
      ["level", "step", "sums"],
    );
  });

  it("gives each chart its own signals", () => {
    const strips = stripsOf(chart, individuals, [{ chart: "level", onDay: 7 }]);
    const days = (kind: string) => strips.find((strip) => strip.kind === kind)!.signalDays;
    assert.deepEqual(days("level"), [7]);
    assert.deepEqual(days("step"), []);
  });

  it("draws nothing of a quantity without checks", () => {
    assert.deepEqual(stripsOf({ ...chart, points: [] }, null, []), []);
  });
});

describe("beyondCount", () => {
  const strip = stripsOf(chart, individuals, []).find(({ kind }) => kind === "level")!;
  it("counts only checks after those that the limits were fitted from", () => {
    const point = (day: number, beyond: boolean) => ({ day, value: 9, beyond });
    const counted = {
      ...strip,
      baselineToDay: 2,
      lines: [[point(1, true), point(3, true), point(4, false)]],
    };
    assert.deepEqual(beyondCount(counted), { beyond: 1, of: 2 });
  });
  it("counts nothing before there are limits", () => {
    assert.deepEqual(beyondCount({ ...strip, baselineToDay: null }), { beyond: 0, of: 0 });
  });
});
