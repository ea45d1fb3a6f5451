import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { condensePath, condensePoints } from "../../../dashboard/page-models/condense.ts";
import type { LifePoint } from "../../../dashboard/page-models/lives.ts";

const points = Array.from(
  { length: 1000 },
  (_, i): LifePoint => ({
    day: i,
    check: i,
    asRead: Math.sin(i / 50),
    own: Math.cos(i / 50),
    used: i % 10 !== 3,
    presentLife: i >= 505,
    readings: 1,
  }),
);
const total = (values: readonly number[]): number => values.reduce((sum, v) => sum + v, 0);

describe("condensePoints", () => {
  const dots = condensePoints(points, 100);

  it("leaves few points as they are", () => {
    const few = points.slice(0, 80);
    assert.equal(condensePoints(few, 100), few);
  });

  it("stands for every used reading once, with their sum", () => {
    const used = points.filter((point) => point.used);
    const drawn = dots.filter((point) => point.used);
    assert.ok(drawn.length <= 102);
    assert.equal(total(drawn.map((dot) => dot.readings)), used.length);
    const sum = total(drawn.map((dot) => dot.own! * dot.readings));
    assert.ok(Math.abs(sum - total(used.map((point) => point.own!))) < 1e-9);
  });

  it("keeps readings that were not used, and the order of time", () => {
    assert.equal(dots.filter((point) => !point.used).length, 100);
    for (const [i, dot] of dots.entries()) assert.ok(i === 0 || dot.day >= dots[i - 1]!.day);
  });

  it("mixes no two lives", () => {
    for (const dot of dots) assert.equal(dot.presentLife, dot.day >= 505);
  });
});

describe("condensePath", () => {
  it("keeps both ends and takes values from the path, not between them", () => {
    const day = points.map((point) => point.day);
    const path = { day, p05: day, p25: day, p50: day.map((d) => d * d), p75: day, p95: day };
    const thin = condensePath(path, 120);
    assert.ok(thin.day.length <= 121);
    assert.deepEqual([thin.day[0], thin.day.at(-1)], [0, 999]);
    assert.deepEqual(
      thin.p50,
      thin.day.map((d) => d * d),
    );
    assert.equal(condensePath(thin, 200), thin);
  });
});
