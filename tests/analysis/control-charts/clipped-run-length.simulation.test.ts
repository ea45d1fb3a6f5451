import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { dispersionInterval, twoInARowLimit } from "../../../analysis/control-charts/alarm-limits.ts";
import { normalScore, quickNormalScore } from "../../../analysis/control-charts/baseline.ts";
import { dispersionChart, dispersionRunLength } from "../../../analysis/control-charts/dispersion.ts";
import { assertClose } from "../../support/close.ts";
import { seededRandom } from "../../support/random.ts";

const random = seededRandom(14);
const VALUES = Float64Array.from({ length: 400_000 }, () => random.normal());

describe("limits that one stray value cannot pass", () => {
  it("two in a row come as seldom as they are made to", () => {
    const limit = twoInARowLimit(100);
    let runs = 0;
    let before = 0;
    for (const z of VALUES) {
      const second = Math.abs(z) > limit && Math.abs(before) > limit && z * before > 0;
      if (second) runs++;
      before = second ? 0 : z;
    }
    // 4000 runs are expected, 63 their standard deviation.
    assert.ok(Math.abs(runs / 4000 - 1) < 0.05, `${runs} runs`);
  });

  it("a clipped scatter chart keeps its run length, and needs more than two stray values", () => {
    const interval = dispersionInterval(300, 3);
    assertClose(dispersionRunLength(interval, 1, undefined, 3) / 300, 1, 1e-8);
    let signals = 0;
    for (let from = 0; from < VALUES.length; ) {
      const chart = dispersionChart(VALUES.subarray(from, from + 4_000), interval, undefined, 3);
      const at = chart.findIndex(({ beyond }) => beyond);
      if (at < 0) break;
      signals++;
      from += at + 1;
    }
    // 1333 are expected, 36 their standard deviation.
    assert.ok(Math.abs(signals / 1333 - 1) < 0.08, `${signals} signals`);
    const strays = dispersionChart([0, 40, 0, 40, 0], dispersionInterval(2000, 3), undefined, 3);
    assert.ok(strays.every(({ beyond }) => !beyond));
  });

  it("the quick normal score is the normal score, nearly", () => {
    for (const df of [10, 18, 48]) {
      for (let t = -8; t <= 8; t += 0.25)
        assert.ok(Math.abs(quickNormalScore(t, df) - normalScore(t, df)) < 0.02);
    }
  });
});
